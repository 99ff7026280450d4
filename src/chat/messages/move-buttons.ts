import { isCapped } from '../../domain/level/transducer.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { actionValue } from '../action-value.ts';
import { type ButtonOf } from '../parts.ts';
import { doneWords } from '../wording/duty-words.ts';

/**
 * Where the patient is off the ward: the taps that say it has arrived, until that was recorded, and that it is back, on every
 * message that still asks for something of it.
 */
export function backButtons(wardId: string, line: LineState): ButtonOf[] {
  const { away } = line;
  if (!away) return [];
  const arrived = away.to === 'elsewhere' ? 'Arrived there' : `Arrived in ${away.to}`;
  return [
    ...(away.arrivedAt === null
      ? [
          {
            action: `done:arrived:${line.id}`,
            text: arrived,
            value: actionValue({ w: wardId, l: line.id }),
            label: `${line.patient.name}: ${arrived.toLowerCase()}`,
          },
        ]
      : []),
    {
      action: `done:returned:${line.id}`,
      text: 'Back on the ward',
      value: actionValue({ w: wardId, l: line.id }),
      label: `${line.patient.name}: back on the ward`,
    },
  ];
}

/** Joins a capped line: by one tap to the transducer it was taken off, else by the form that asks how it is flushed. */
export function joinButtons(wardId: string, line: LineState): ButtonOf[] {
  if (!isCapped(line) || line.removed) return [];
  const name = line.patient.name;
  const again: ButtonOf[] = line.setAside
    ? [
        {
          action: `done:joined:${line.id}`,
          text: 'On its transducer again',
          value: actionValue({ w: wardId, l: line.id }),
          label: `${name}: joined to its transducer again, flushed as before`,
        },
      ]
    : [];
  return [
    ...again,
    {
      action: `open:transducer:${line.id}`,
      text: 'Join a transducer…',
      value: actionValue({ w: wardId, l: line.id, v: 'transducer' }),
      label: `${name}: join a transducer`,
    },
  ];
}

/** What is recorded first of a line that has just come back, or was just joined: nothing it shows is believed before. */
export function zeroFirstButtons(wardId: string, line: LineState): ButtonOf[] {
  if (isCapped(line) || line.zeroCause === null) return [];
  return [
    {
      action: `done:zero:${line.id}`,
      text: doneWords('zero'),
      value: actionValue({ w: wardId, l: line.id }),
      label: `${line.patient.name}: zeroed and levelled now`,
    },
  ];
}
