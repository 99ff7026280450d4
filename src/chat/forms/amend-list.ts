import { z } from 'zod';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { type EffectiveEntry, effectiveEntries } from '../../domain/record/effective-entries.ts';
import type { Entry, EntryKind } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { hourMs } from '../../domain/time.ts';
import { draftWords } from '../../wording/care/entry-words.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { formAbout, lineRemark } from './form-about.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { choiceInput } from './questions.ts';
import { optionChosen, type StaleForm, staleForm } from './view-state.ts';

/** Entries offered, the latest first; the placing is always among them. */
const mostOffered = 30;

/** What the bot wrote, what only moved a reminder, and amendments themselves are not a person's to put right here. */
const notOffered: readonly EntryKind[] = ['nudged', 'escalated', 'amended', 'claimed', 'snoozed'];

/** What an entry is shown with. `nameOf` gives a person's display name as plain text, where it is known. */
export interface AmendGiven {
  wardId: string;
  line: LineState;
  log: readonly Entry[];
  now: number;
  policy: WardPolicy;
  nameOf?: (user: string) => string | undefined;
  /** The ward's lines: one of them may be the same animal's. */
  lines?: readonly LineState[];
}

const metaSchema = z.object({ ward: wardIdSchema, line: lineIdSchema });

/**
 * The list of a line's latest entries, to choose the one that is wrong; its id is `amend:list`. The latest that `user`
 * recorded is chosen already.
 */
export function amendList(given: AmendGiven & { user?: string }): Form {
  const { wardId, line, log } = given;
  const offered = amendable(log);
  const own = offered.find(({ entry }) => entry.by === given.user);
  return formAbout({
    id: 'amend:list',
    title: `Put right: ${line.patient.name}`,
    submit: 'Next',
    meta: formMeta({ ward: wardId, line: line.id }),
    parts: [
      lineRemark(line),
      choiceInput({
        id: 'entry',
        label: 'Which entry is wrong',
        mostInSight: 0,
        initial: own && String(own.number),
        choices: offered.map(({ number, entry }) => ({
          value: String(number),
          label: entryText(entry, given),
        })),
      }),
    ],
  });
}

/** The entry chosen from the list, by its number, or what is wrong. */
export function readAmendList(
  form: Sent | null,
): { is: 'chosen'; lineId: string; number: number } | { is: 'wrong'; errors: FormErrors } | StaleForm {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const digits = optionChosen(form, 'entry');
  if (digits === undefined || !/^[1-9]\d{0,6}$/.test(digits))
    return { is: 'wrong', errors: { entry: 'Choose the entry that is wrong.' } };
  return { is: 'chosen', lineId: meta.line, number: Number(digits) };
}

/** The entry `number` of a log as it counts; undefined where it counts no more, or is not a person's to put right. */
export function amendableEntry(log: readonly Entry[], number: number): Entry | undefined {
  return everyAmendable(log).find((one) => one.number === number)?.entry;
}

function everyAmendable(log: readonly Entry[]): EffectiveEntry[] {
  return effectiveEntries(log).filter(({ entry }) => !notOffered.includes(entry.kind));
}

/** The entries of a log that may be put right, the latest first. */
function amendable(log: readonly Entry[]): EffectiveEntry[] {
  const all = everyAmendable(log);
  const placing = all.filter(({ entry }) => entry.kind === 'placed');
  const others = all.filter(({ entry }) => entry.kind !== 'placed').slice(1 - mostOffered);
  return [...placing, ...others].reverse();
}

/** When it happened, what it says and who recorded it: `03:12 flushed 0.5 mL by Ina Brandvold`. */
export function entryText(entry: Entry, { line, now, policy, nameOf }: AmendGiven): string {
  const { zone } = policy.shifts;
  const name = nameOf?.(entry.by);
  const today = Math.abs(entry.at - now) < 12 * hourMs;
  const clock = today ? wallClock(zone, entry.at) : wallClockWithDay(zone, entry.at);
  return `${clock} ${draftWords(entry, line)}${name === undefined ? '' : ` by ${name}`}`;
}
