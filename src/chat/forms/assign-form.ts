import { z } from 'zod';
import type { LineState } from '../../domain/record/line-state.ts';
import { placeWords } from '../../wording/care/line-words.ts';
import { shorten } from '../../wording/shorten.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { type Part, smallPrint } from '../parts.ts';
import { room } from '../room.ts';
import { formAbout, lineRemark } from './form-about.ts';
import { formMeta, lineIdSchema, readMeta, wardIdSchema } from './form-meta.ts';
import { choiceInput, personInput } from './questions.ts';
import { optionChosen, type StaleForm, staleForm, userChosen } from './view-state.ts';

/** Lines with an input of their own: a form holds 100 parts, of which five are not a line's. */
const mostLines = room.formParts - 5;
const longestLabel = 150;

const metaSchema = z.object({ ward: wardIdSchema, from: z.number().int().nonnegative() });

/** What the form is opened with. Names are plain text; `coming` is the next shift, its start in ms and on the clock. */
export interface AssignFormGiven {
  wardId: string;
  lines: readonly { line: LineState; withWhom: string }[];
  coming: { startMs: number; name: string; clock: string };
  /** Whether it is asked for the coming shift, unless said otherwise. */
  isForComing: boolean;
}

/** The form that says who has which line, now or in the coming shift; its id is `assign`. */
export function assignForm({ wardId, lines, coming, isForComing }: AssignFormGiven): Form {
  const [only] = lines;
  const single = lines.length === 1 ? only : undefined;
  const left = lines.length - mostLines;
  const parts: Part[] = [
    choiceInput({
      id: 'from',
      label: 'From when',
      choices: [
        { value: 'now', label: 'Now' },
        {
          value: 'coming',
          label: shorten(`From ${coming.clock}, the ${coming.name} shift`, room.choiceLabel),
        },
      ],
      initial: isForComing ? 'coming' : 'now',
    }),
    ...(single
      ? [lineRemark(single.line)]
      : [
          personInput({
            id: 'all',
            label: 'All lines to one nurse',
            hint: 'If you choose somebody else for a line below, that choice counts.',
            optional: true,
          }),
        ]),
    ...lines.slice(0, mostLines).map(({ line, withWhom }) =>
      personInput({
        id: `line.${line.id}`,
        label: single ? 'Nurse' : shorten(`${line.patient.name}, ${placeWords(line)}`, longestLabel),
        hint: shorten(`${withWhom}${single ? '' : ' Left empty, that stays.'}`, longestLabel),
        optional: single === undefined,
      }),
    ),
    ...(left > 0
      ? [
          smallPrint(
            `${left} more ${left === 1 ? 'line has' : 'lines have'} no room here: write assign, the patient’s name and @ with the nurse.`,
          ),
        ]
      : []),
  ];
  return formAbout({
    id: 'assign',
    title: 'Who has which line',
    submit: 'Give',
    meta: formMeta({ ward: wardId, from: coming.startMs }),
    parts,
  });
}

/** What came back: who is given which line, by line id, and all others; from when (ms), null at once. */
export type AssignFormRead =
  | { is: 'ok'; wardId: string; lines: Map<string, string>; others?: string; from: number | null }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the form. */
export function readAssignForm(form: Sent | null): AssignFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  if (!form || !meta) return staleForm;
  const lines = new Map<string, string>();
  for (const blockId of Object.keys(form.answers)) {
    const lineId = blockId.startsWith('line.') ? lineIdSchema.safeParse(blockId.slice(5)).data : undefined;
    const nurse = userChosen(form, blockId);
    if (lineId !== undefined && nurse !== undefined) lines.set(lineId, nurse);
  }
  const others = userChosen(form, 'all');
  if (lines.size === 0 && others === undefined)
    return { is: 'wrong', errors: { from: 'Choose a nurse for at least one line.' } };
  return {
    is: 'ok',
    wardId: meta.ward,
    lines,
    ...(others === undefined ? {} : { others }),
    from: optionChosen(form, 'from') === 'coming' ? meta.from : null,
  };
}
