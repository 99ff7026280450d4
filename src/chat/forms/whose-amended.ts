import type { LineState } from '../../domain/record/line-state.ts';
import { listed } from '../../wording/care/duty-words.ts';
import { animalWords, placeWords } from '../../wording/care/line-words.ts';
import { shorten } from '../../wording/shorten.ts';
import { type Sent } from '../form.ts';
import { type Part } from '../parts.ts';
import { choiceInput } from './questions.ts';
import { optionChosen } from './view-state.ts';
import { freeName } from './whose-form.ts';

/** The question's id in the form. */
const whoseId = 'whose';
const apart = 'apart';

const animalIdOf = (line: LineState) => line.animal?.id ?? line.recordedAnimal ?? line.id;

/** A line of each other animal on the ward, by the animal's id. */
function othersOf(line: LineState, lines: readonly LineState[]): Map<string, LineState> {
  const mine = animalIdOf(line);
  return new Map(lines.map((one) => [animalIdOf(one), one] as const).filter(([id]) => id !== mine));
}

/** Asks whose a line is, where it was taken for the wrong animal's; nothing where the ward has no other line. */
export function whoseParts(line: LineState, lines: readonly LineState[]): Part[] {
  const others = [...othersOf(line, lines)];
  const siblings = line.animal?.others ?? [];
  if (others.length === 0 && siblings.length === 0) return [];
  const with_ = siblings.length === 0 ? 'no other line' : listed(siblings.map(placeWords));
  return [
    choiceInput({
      id: whoseId,
      label: 'Correct animal',
      hint: shorten(`Now one animal with: ${with_}. Blood, flush fluid and cautions count together.`, 150),
      optional: true,
      mostInSight: 0,
      choices: [
        ...(siblings.length === 0 ? [] : [{ value: apart, label: 'Another animal, with no other line' }]),
        ...others.map(([id, one]) => ({
          value: id,
          label: shorten(`The same as ${one.patient.name}, ${animalWords(one)}, ${placeWords(one)}`, 75),
        })),
      ],
    }),
  ];
}

/**
 * What was chosen: the animal it is of, under that one's name and weight; or one of its own, under a name that tells it
 * apart. Undefined where nothing was.
 */
export function readWhose(
  form: Sent,
  line: LineState,
  lines: readonly LineState[],
  now: number,
): { animal: string; patient: LineState['patient'] } | undefined {
  const chosen = optionChosen(form, whoseId);
  if (chosen === undefined) return undefined;
  if (chosen === apart) {
    const names = lines.map(({ patient }) => patient.name);
    const { patient } = line.animal?.own ?? line;
    return {
      animal: `${line.id}.${now.toString(36)}`,
      patient: { ...patient, name: freeName(patient.name, [...names, line.patient.name]) },
    };
  }
  const one = othersOf(line, lines).get(chosen);
  return one && { animal: chosen, patient: one.patient };
}
