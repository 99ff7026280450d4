import { z } from 'zod';
import type { HandedLine, ShiftHandover } from '../../domain/handover/shift-handover.ts';
import { capital } from '../../wording/care/duty-words.ts';
import { clockText, placeShort } from '../../wording/care/line-words.ts';
import { troubleWords } from '../../wording/care/trouble-words.ts';
import { handoverTitle } from '../../wording/handover/handover-head.ts';
import { type Form, type Sent } from '../form.ts';
import { smallPrint } from '../parts.ts';
import { room } from '../room.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { severalInput } from './questions.ts';
import { optionsTicked } from './view-state.ts';

const meta = z.object({ ward: wardIdSchema, for: z.number().int() });

/** The tick that stands for all. */
const all = 'all';
/** Blocks of ticks that a form holds, with room for what is above and below them. */
const mostParts = 90;

/** The form in which each line to watch is ticked as it is read; its id is `readback`. */
export function readBackForm(wardId: string, handover: ShiftHandover): Form {
  const clock = (atMs: number) => clockText(handover.ward.policy, atMs, handover.atMs);
  const choice = ({ line, troubles }: HandedLine) => ({
    value: line.id,
    label: `${line.patient.name}, ${placeShort(line)}`,
    // Plain text on a tick: nothing in it is read as a mark.
    description: capital(troubles.map((one) => troubleWords(one, line, clock)).join('; ')),
  });
  const groups = Array.from(
    { length: Math.min(mostParts, Math.ceil(handover.watch.length / room.ticks)) },
    (_, index) => handover.watch.slice(index * room.ticks, (index + 1) * room.ticks),
  );
  return formAbout({
    id: 'readback',
    title: 'Read back Watch',
    submit: 'Accept the ward',
    meta: formMeta({ ward: wardId, for: handover.handover.for }),
    parts: [
      smallPrint(`${handoverTitle(handover)}. What you don’t tick is shown in the channel as not read back.`),
      severalInput({
        id: all,
        label: 'All at once',
        optional: true,
        choices: [{ value: all, label: 'I’ve read all of Watch' }],
      }),
      ...groups.map((some, index) =>
        severalInput({
          id: `watch${index}`,
          label: index === 0 ? 'Or one by one, most urgent first' : 'More to watch',
          optional: true,
          choices: some.map(choice),
        }),
      ),
    ],
  });
}

/** What came back: which handover, and what of it was read; null of a form that is none of this version. */
export function readReadBackForm(form: Sent | null): { forMs: number; readBack: 'all' | string[] } | null {
  const carried = form && readMeta(meta, form.meta);
  if (!form || !carried) return null;
  if (optionsTicked(form, all).includes(all)) return { forMs: carried.for, readBack: 'all' };
  const ticked = Object.keys(form.answers)
    .filter((id) => id.startsWith('watch'))
    .flatMap((id) => optionsTicked(form, id));
  return { forMs: carried.for, readBack: ticked };
}
