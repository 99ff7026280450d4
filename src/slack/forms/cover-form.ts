import type { ModalView } from '@slack/web-api';
import { z } from 'zod';
import { wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { longestCoverMs } from '../../domain/ward/cover.ts';
import { actionValue } from '../action-value.ts';
import { button, section } from '../messages/blocks.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { formView } from './form-view.ts';
import { instantInput, personInput } from './input-blocks.ts';
import {
  type FormErrors,
  instantPicked,
  type StaleForm,
  staleForm,
  submittedView,
  userChosen,
} from './view-state.ts';

const metaSchema = z.object({ ward: wardIdSchema });

/** What the form is opened with: covers that stand, `words` safe in mrkdwn and `name` plain; the end offered, ms. */
export interface CoverFormGiven {
  wardId: string;
  standing: readonly { away: string; name: string; words: string }[];
  away?: string | undefined;
  until: number;
}

/** The form that says who is away, who stands in and until when; `callback_id` is `cover`. */
export function coverForm({ wardId, standing, away, until }: CoverFormGiven): ModalView {
  return formView({
    callbackId: 'cover',
    title: 'Cover',
    submit: 'Set the cover',
    meta: formMeta({ ward: wardId }),
    blocks: [
      ...standing.map(({ away: user, name, words }) => ({
        ...section(words),
        accessory: button({
          action: `done:back:${user}`,
          text: 'Back now',
          value: actionValue({ w: wardId, v: user }),
          label: `${name} is back now`,
        }),
      })),
      personInput({ id: 'away', label: 'Who is away', initial: away }),
      personInput({
        id: 'by',
        label: 'Who stands in',
        hint: 'What is asked of the one comes to the other.',
      }),
      instantInput({ id: 'until', label: 'Until', initialMs: until }),
    ],
  });
}

/** What came back; `until` in ms. */
export type CoverFormRead =
  | { is: 'told'; wardId: string; away: string; by: string; until: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. Whether these people can stand in is for the ward to say. */
export function readCoverForm(view: unknown, { now, zone }: { now: number; zone: string }): CoverFormRead {
  const form = submittedView(view);
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const errors: FormErrors = {};
  const away = userChosen(form, 'away');
  const by = userChosen(form, 'by');
  const until = instantPicked(form, 'until');
  if (away === undefined) errors.away = 'Choose who is away.';
  if (by === undefined) errors.by = 'Choose who stands in.';
  else if (by === away) errors.by = 'Choose somebody else: nobody stands in for themselves.';
  const problem = endProblem(until, now, zone);
  if (problem !== null) errors.until = problem;
  return away === undefined || by === undefined || until === undefined || Object.keys(errors).length > 0
    ? { is: 'wrong', errors }
    : { is: 'told', wardId: meta.ward, away, by, until };
}

/** Why a cover cannot end at `until` (ms), and what is taken; null where it can. */
export function endProblem(until: number | undefined, now: number, zone: string): string | null {
  if (until === undefined) return 'Choose until when.';
  if (until > now && until <= now + longestCoverMs) return null;
  const clock = (atMs: number) => wallClockWithDay(zone, atMs);
  return until <= now
    ? `${clock(until)} is past; the ward’s clock shows ${clock(now)}. Choose a later end.`
    : `${clock(until)} is too far ahead. A cover lasts 31 days at most; for longer change the rota in the ward policy.`;
}
