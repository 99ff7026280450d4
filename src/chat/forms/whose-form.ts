import { z } from 'zod';
import { linesOfAnimal } from '../../domain/animal/animal.ts';
import { foldedName } from '../../domain/patient/patient-key.ts';
import { bodySchema, type DraftOf } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { listed } from '../../wording/care/duty-words.ts';
import { animalWords, clockText, placeWords } from '../../wording/care/line-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Form, type FormErrors, type Sent } from '../form.ts';
import { smallPrint } from '../parts.ts';
import { longestName } from '../typed/clean-text.ts';
import { formAbout } from './form-about.ts';
import { formMeta, readMeta, wardIdSchema } from './form-meta.ts';
import { choiceInput } from './questions.ts';
import { optionChosen, type StaleForm, staleForm } from './view-state.ts';

type PlacedBody = DraftOf<'placed'>['body'];

const metaSchema = z.object({
  ward: wardIdSchema,
  placed: z.unknown(),
  at: z.number().int(),
  animal: z.string(),
  another: z.string(),
});

/** What the page is opened with: what was recorded, when it happened (ms), a line of the animal that has the name. */
export interface WhoseFormGiven {
  ward: WardState;
  placed: PlacedBody;
  at: number;
  line: LineState;
  /** Names of the animals on the ward; another gets one that is not among them. */
  names: readonly string[];
  now: number;
}

/** Asks whether a line is of the animal that has its name already, or of another; its id is `whose`. */
export function whoseForm(given: WhoseFormGiven): Form {
  const { ward, placed, at, line, names, now } = given;
  const { name } = line.patient;
  const another = freeName(placed.patient.name, names);
  const isOfKind = line.patient.species === placed.patient.species;
  const words = animalWords({ patient: placed.patient });
  const same = { value: 'same', label: `The same ${shortName(name)}`, description: sameMeans(line, placed) };
  return formAbout({
    id: 'whose',
    title: 'Which animal?',
    submit: 'Register line',
    meta: formMeta({
      ward: ward.id,
      placed,
      at,
      animal: line.animal?.id ?? line.recordedAnimal ?? line.id,
      another,
    }),
    parts: [
      smallPrint(
        rich`*${name}* (${animalWords(line)}; ${linesText(line, ward, now)}) is on this ward. You entered ${placed.patient.name}, ${words}, ${placeWords({ site: placed.site, side: placed.side ?? null })}.`,
      ),
      ...(isOfKind
        ? []
        : [
            smallPrint(
              rich`*${words.split(',')[0]} is not ${animalWords(line).split(',')[0]}.* The same animal? Go back and choose the right species, or put the other line right first.`,
            ),
          ]),
      choiceInput({
        id: 'whose',
        label: 'This line is of',
        choices: [
          ...(isOfKind ? [same] : []),
          {
            value: 'another',
            label: `Another, to be called ${shortName(another)}`,
            description: 'Counted by itself. Everything says this name, and it is the one to type.',
          },
        ],
      }),
    ],
  });
}

function shortName(name: string): string {
  return name.length > 16 ? `${name.slice(0, 15)}…` : name;
}

function sameMeans(line: LineState, { patient }: PlacedBody): string {
  const counts = 'Blood, flush fluid and cautions of its lines count together.';
  return patient.weightKg === line.patient.weightKg
    ? counts
    : `Weighs ${patient.weightKg} kg from now on, not ${line.patient.weightKg}. ${counts}`;
}

/** `left dorsal pedal since 21:00, tail until 18:05`: where the animal has or had its lines. */
export function linesText(line: LineState, ward: WardState, now: number): string {
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  return listed(
    linesOfAnimal(line).map((one) =>
      one.removed
        ? `${placeWords(one)} until ${clock(one.removed.at)}`
        : `${placeWords(one)} since ${clock(one.placed.at)}`,
    ),
  );
}

/** A name that no animal of the ward has: `Biscuit 2`. */
export function freeName(name: string, names: readonly string[]): string {
  const taken = new Set(names.map(foldedName));
  const base = name.replace(/ \d{1,2}$/u, '').slice(0, longestName - 3);
  for (let number = 2; ; number++) {
    const free = `${base} ${number}`;
    if (!taken.has(foldedName(free))) return free;
  }
}

/** What came back: the placing, now with its animal or with a name of its own. */
export type WhoseFormRead =
  | { is: 'ok'; placed: PlacedBody; at: number }
  | { is: 'wrong'; errors: FormErrors }
  | StaleForm;

/** Reads the page. */
export function readWhoseForm(form: Sent | null): WhoseFormRead {
  const meta = form && readMeta(metaSchema, form.meta);
  const placed = meta && bodySchema('placed').safeParse(meta.placed);
  if (!form || !meta || !placed?.success) return staleForm;
  const { animal, another, at } = meta;
  const whose = optionChosen(form, 'whose');
  if (whose === 'same') return { is: 'ok', placed: { ...placed.data, animal }, at };
  if (whose !== 'another')
    return { is: 'wrong', errors: { whose: 'Choose one: the same animal, or another.' } };
  return { is: 'ok', placed: { ...placed.data, patient: { ...placed.data.patient, name: another } }, at };
}
