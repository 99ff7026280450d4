import { awayByAnother } from '../../domain/away/away.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { doneWords } from '../../wording/care/duty-words.ts';
import { type ButtonOf } from '../parts.ts';
import { buttonsOf } from './line-button.ts';

/**
 * Where the patient is off the ward: the taps that say it has arrived, until that was recorded, and that it is back, on every
 * message that still asks for something of it.
 */
export function backButtons(wardId: string, line: LineState): ButtonOf[] {
  const { away } = line;
  if (!away) return whereButtons(wardId, line);
  const button = buttonsOf(wardId, line);
  const arrived = away.to === 'elsewhere' ? 'Arrived there' : `Arrived in ${away.to}`;
  return [
    ...(away.arrivedAt === null
      ? [button(`done:arrived:${line.id}`, arrived, { label: arrived.toLowerCase() })]
      : []),
    button(`done:returned:${line.id}`, 'Back on the ward', { label: 'back on the ward' }),
  ];
}

/** Of a line on the ward by the record, though its animal is away by another line: which of the two is true. */
function whereButtons(wardId: string, line: LineState): ButtonOf[] {
  const other = awayByAnother(line);
  if (!other?.away) return [];
  const there = other.away.to === 'elsewhere' ? 'Off the ward too' : `In ${other.away.to} too`;
  return [
    buttonsOf(wardId, line)(`done:along:${line.id}`, there, { label: there.toLowerCase() }),
    buttonsOf(wardId, other)(`done:returned:${other.id}`, 'Back on the ward', { label: 'back on the ward' }),
  ];
}

/** Joins a capped line: by one tap to the transducer it was taken off, else by the form that asks how it is flushed. */
export function joinButtons(wardId: string, line: LineState): ButtonOf[] {
  if (!isCapped(line) || line.removed) return [];
  const button = buttonsOf(wardId, line);
  return [
    ...(line.setAside
      ? [
          button(`done:joined:${line.id}`, 'On its transducer again', {
            label: 'joined to its transducer again, flushed as before',
          }),
        ]
      : []),
    button(`open:transducer:${line.id}`, 'Join a transducer…', {
      v: 'transducer',
      label: 'join a transducer',
    }),
  ];
}

/** What is recorded first of a line that has just come back, or was just joined: nothing it shows is believed before. */
export function zeroFirstButtons(wardId: string, line: LineState): ButtonOf[] {
  if (isCapped(line) || line.zeroCause === null) return [];
  const label = 'zeroed and levelled now';
  return [buttonsOf(wardId, line)(`done:zero:${line.id}`, doneWords('zero'), { label })];
}
