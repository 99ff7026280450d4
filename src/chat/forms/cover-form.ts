import { z } from 'zod';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { longestCoverMs } from '../../domain/ward/cover.ts';
import { actionValue } from '../action-value.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { paragraph } from '../parts.ts';
import { nowMeantMs } from '../typed/cover-words.ts';
import type { WardTime } from '../typed/time-words.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { instantInput, personInput } from './questions.ts';
import { instantPicked, type StaleForm, staleForm, userChosen } from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema });

/** What the form is opened with: covers that stand, `words` rich text and `name` plain; the end offered, ms. */
export interface CoverFormGiven {
  wardId: string;
  standing: readonly { away: string; number: number; name: string; words: string; isToCome: boolean }[];
  away?: string | undefined;
  until: number;
}

/** The form that says who is away, who stands in and until when; its id is `cover`. */
export function coverForm({ wardId, standing, away, until }: CoverFormGiven): Form {
  return formAbout({
    id: 'cover',
    title: 'Cover',
    submit: 'Set the cover',
    meta: formMeta({ ward: wardId }),
    parts: [
      ...standing.map(({ away: user, number, name, words, isToCome }) => ({
        ...paragraph(words),
        beside: isToCome
          ? {
              action: `done:there:${number}`,
              text: 'Take back',
              value: actionValue({ w: wardId, f: number }),
              label: `${name} is there after all`,
            }
          : {
              action: `done:back:${user}`,
              text: 'Back now',
              value: actionValue({ w: wardId, v: user }),
              label: `${name} is back now`,
            },
      })),
      personInput({ id: 'away', label: 'Who is away', initial: away }),
      personInput({
        id: 'by',
        label: 'Who stands in',
        hint: 'Their reminders and calls go to this person.',
      }),
      instantInput({ id: 'from', label: 'From', hint: 'Left empty: from now.', optional: true }),
      instantInput({ id: 'until', label: 'Until', initialMs: until }),
    ],
  });
}

/** What came back, in ms; `from` is null where it begins now. */
export type CoverFormRead =
  | { is: 'ok'; wardId: string; away: string; by: string; from: number | null; until: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. Whether these people can stand in is for the ward to say. */
export function readCoverForm(form: Sent | null, ward: WardTime): CoverFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const errors: FormErrors = {};
  const away = userChosen(form, 'away');
  const by = userChosen(form, 'by');
  const from = instantPicked(form, 'from') ?? null;
  const until = instantPicked(form, 'until');
  if (away === undefined) errors.away = 'Choose who is away.';
  if (by === undefined) errors.by = 'Choose who stands in.';
  else if (by === away) errors.by = 'Choose somebody else: nobody covers for themselves.';
  Object.assign(
    errors,
    until === undefined ? { until: 'Choose until when.' } : timeProblems({ from, until }, ward),
  );
  return away === undefined || by === undefined || until === undefined || Object.keys(errors).length > 0
    ? { is: 'wrong', errors }
    : { is: 'ok', wardId: meta.ward, away, by, from, until };
}

/** Why a cover cannot be from `from` (ms; null: now) until `until`, and what is taken, by question; empty where it can. */
export function timeProblems(
  { from, until }: { from: number | null; until: number },
  { now, zone }: WardTime,
): FormErrors {
  const clock = (atMs: number) => wallClockWithDay(zone, atMs);
  const shows = `the ward’s clock shows ${clock(now)}`;
  if (from !== null && from < now - nowMeantMs)
    return { from: `${clock(from)} is past; ${shows}. Leave it out for now, or choose a later start.` };
  if (until <= now) return { until: `${clock(until)} is past; ${shows}. Choose a later end.` };
  if (from !== null && until <= from)
    return { until: `${clock(until)} isn’t after the start, ${clock(from)}. Choose a later end.` };
  return until <= now + longestCoverMs
    ? {}
    : {
        until: `${clock(until)} is too far ahead. A cover ends within 31 days; for longer change the rota in the ward policy.`,
      };
}
