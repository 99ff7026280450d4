import type { WardView } from '../../app/ports.ts';
import { holdMinutes } from '../../domain/duties/after-removal.ts';
import { patientKey } from '../../domain/patient/patient-key.ts';
import type { FailedTries } from '../../domain/placing/failed-tries.ts';
import { clockText, placeWords } from '../../wording/care/line-words.ts';
import { partBelow } from '../../wording/care/part-below.ts';
import type { Names } from '../../wording/names.ts';

/**
 * What became of tries that were recorded, and what the puncture asks for now. At least 4 min of firm pressure after a failed
 * try in dogs: online reference article "Placing an arterial catheter", ISSN 2398-2942.
 */
export async function failedTriesWords(
  failed: FailedTries,
  at: number,
  { ward, lines }: WardView,
  names: Names,
  now: number,
): Promise<string> {
  const { policy } = ward;
  const { patient, site, side, tries, operator, why } = failed;
  const where = placeWords({ site, side: side ?? null });
  const what = `${tries} failed ${tries === 1 ? 'try' : 'tries'} by ${await names.of(operator)}`;
  const held = (bleeding: boolean) => holdMinutes({ patient: { bleeding }, site }, policy);
  // Another line of this animal may have it recorded that it bleeds.
  const bleeds = lines.some(
    (line) => line.patient.bleeding === true && patientKey(line.patient) === patientKey(patient),
  );
  const longer = bleeds || held(true) === held(false) ? '' : ` (${held(true)} with a bleeding disorder)`;
  const published = patient.species === 'dog' ? ' Published for dogs: at least 4 min.' : '';
  return [
    `Recorded: ${what}, ${patient.name} (${where})${why === undefined ? '' : `, ${why}`}, ${clockText(policy, at, now)}. No line.`,
    `Hold firm pressure for ${held(bleeds)} min${longer}, as this ward does after a removal.${published} Then look for a haematoma, and whether the ${partBelow(site)} is warm and has its pulse.`,
  ].join(' ');
}
