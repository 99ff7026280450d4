import { patientKey } from '../../domain/patient/patient-key.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { lineWords, placeWords } from './line-words.ts';

/**
 * What is said of several lines, an animal named once: `Biscuit (left dorsal pedal): flush`, and with two lines
 * `Miso (left dorsal pedal: flush; median caudal: zero and level)`.
 */
export function eachAnimal(
  lines: readonly (readonly [LineState, string])[],
  nameOf: (line: LineState) => string = lineWords,
): string[] {
  return [...Map.groupBy(lines, ([{ patient }]) => patientKey(patient)).values()].map((mine) => {
    const [first, ...more] = mine;
    if (!first) return '';
    if (more.length === 0) return `${nameOf(first[0])}: ${first[1]}`;
    const each = mine.map(([line, words]) => `${placeWords(line)}: ${words}`);
    return `${first[0].patient.name} (${each.join('; ')})`;
  });
}
