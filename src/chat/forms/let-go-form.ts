import { z } from 'zod';
import type { Asked } from '../../domain/duties/duty-status.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { hourMs, minuteMs } from '../../domain/time.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { smallPrint } from '../parts.ts';
import { cleanText } from '../typed/clean-text.ts';
import { reasonProblem } from './cannot-form.ts';
import type { OfferedDuty } from './duty-choice.ts';
import { formAbout } from './form-about.ts';
import { askedSchema, formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { choiceInput, instantInput, textInput } from './questions.ts';
import { instantPicked, optionChosen, type StaleForm, staleForm, textTyped } from './view-state.ts';

const hoursOffered = [2, 4, 8, 12] as const;
const longestReason = 300;
/** A decision shorter than this is no decision; one longer than this is asked for anew. */
const shortestMs = 15 * minuteMs;
const longestMs = 72 * hourMs;

/** What the form is opened with. */
export interface LetGoFormGiven {
  wardId: string;
  duty: OfferedDuty;
  now: number;
  zone: string;
  /** A piece of the catheter is all that it is about: what is decided of it can be the last word. */
  isPiece?: boolean;
}

const metaSchema = z.object({ ward: wardIdSchema, duty: askedSchema });

/** The form in which a clinician lets a duty go, with a reason and an end; its id is `letgo`. */
export function letGoForm({ wardId, duty, now, zone, isPiece = false }: LetGoFormGiven): Form {
  const { asked, text } = duty;
  return formAbout({
    id: 'letgo',
    ...wordsOf(asked.kind),
    meta: formMeta({ ward: wardId, duty: [asked.lineId, asked.kind, asked.dueAt] }),
    parts: [
      smallPrint(
        rich`*${text}*\nFor the clinician on call, or one named in the ward policy. Your name, reason and time stay in the record.`,
      ),
      textInput({ id: 'reason', label: 'Reason', maxLength: longestReason, multiline: true }),
      choiceInput({
        id: 'for',
        label: 'Ask again in',
        choices: hoursOffered.map((hours) => ({
          value: String(hours),
          label: `${hours} h, at ${wallClock(zone, now + hours * hourMs)}`,
        })),
        initial: '2',
      }),
      instantInput({
        id: 'until',
        label: 'Or at this time',
        hint: `Counts instead of the choice above. It is ${wallClock(zone, now)} on the ward’s clock.`,
        optional: true,
      }),
      ...(isPiece
        ? [
            smallPrint(
              'If both pulse checks are recorded before then, nobody asks about the missing piece again.',
            ),
          ]
        : []),
    ],
  });
}

function wordsOf(kind: Asked['kind']): { title: string; submit: string } {
  if (kind === 'dwellLimit') return { title: 'Keep the line in', submit: 'Keep it in' };
  if (kind === 'finding') return { title: 'Finding seen', submit: 'Ask again then' };
  if (kind === 'fault') return { title: 'Line fault seen', submit: 'Ask again then' };
  return { title: 'Let a duty go', submit: 'Let it go' };
}

/** What came back: the duty let go, why and until when (ms); or what is wrong, by question. */
export type LetGoFormRead =
  | { is: 'ok'; wardId: string; asked: Asked; reason: string; until: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. Whether the person may decide is for the record to say. */
export function readLetGoForm(
  form: Sent | null,
  { now, zone }: { now: number; zone: string },
): LetGoFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const errors: FormErrors = {};
  const reason = cleanText(textTyped(form, 'reason') ?? '');
  const problem = reasonProblem(reason, longestReason, 'needed for theatre at 06:00');
  if (problem !== null) errors.reason = problem;
  const picked = instantPicked(form, 'until');
  const hours = hoursOffered.find((one) => String(one) === optionChosen(form, 'for')) ?? hoursOffered[0];
  const until = picked ?? now + hours * hourMs;
  if (until < now + shortestMs || until > now + longestMs) {
    const clock = (atMs: number) => wallClockWithDay(zone, atMs);
    errors.until = `${clock(until)} can’t be used. Choose from ${clock(now + shortestMs)} to ${clock(now + longestMs)}.`;
  }
  if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
  const [lineId, kind, dueAt] = meta.duty;
  return { is: 'ok', wardId: meta.ward, asked: { lineId, kind, dueAt }, reason, until };
}
