import { linesOfAnimal } from '../animal/animal.ts';
import type { Patient } from '../patient/patient.ts';
import type { LineState, Sampling } from '../record/line-state.ts';
import { circulatingMl } from './blood-volume.ts';

/** Blood that left the animal by the line, mL: samples, and discards that were not given back. */
export function bloodLostMl(samples: readonly Sampling[]): number {
  return samples.reduce(
    (sum, { volumeMl, discardMl, discardReturned }) => sum + volumeMl + (discardReturned ? 0 : discardMl),
    0,
  );
}

/** What samples in the 24 h before `now` (ms) took from an animal: mL, and % of the circulating volume. */
export function bloodLostIn24h(
  patient: Pick<Patient, 'species' | 'weightKg'>,
  samples: readonly Sampling[],
  now: number,
): { ml: number; percent: number } {
  const ml = bloodLostMl(samplesIn24h(samples, now));
  return { ml, percent: (100 * ml) / circulatingMl(patient) };
}

function samplesIn24h(samples: readonly Sampling[], now: number): Sampling[] {
  return samples.filter(({ at }) => at > now - 24 * 3_600_000);
}

/** What an animal lost by all its lines, one after another and side by side. */
export interface BloodOfAnimal {
  /** In the 24 h before now: mL, % of the circulating volume, samples, what was spilt besides, and by how many lines. */
  ml: number;
  percent: number;
  samples: number;
  spills: number;
  /** Of the mL what was spilt, as near as somebody could guess. */
  spiltMl: number;
  lines: number;
  /** Since its first line of this stay was placed: mL, and by how many lines. */
  stayMl: number;
  stayLines: number;
}

/** What the animal of this line lost at `now` (ms), by this line and by every other that it has or had in this stay. */
export function bloodOfAnimal(line: LineState, now: number): BloodOfAnimal {
  const lines = linesOfAnimal(line);
  const each = lines.map(({ samples }) => samplesIn24h(samples, now));
  const drawn = each.filter((samples) => samples.length > 0);
  const bled = lines.filter(({ lostMl }) => lostMl > 0);
  return {
    ...bloodLostIn24h(line.patient, each.flat(), now),
    samples: each.flat().filter(({ isSpilt }) => !isSpilt).length,
    spills: each.flat().filter(({ isSpilt }) => isSpilt).length,
    spiltMl: bloodLostMl(each.flat().filter(({ isSpilt }) => isSpilt)),
    lines: drawn.length,
    stayMl: bled.reduce((sum, { lostMl }) => sum + lostMl, 0),
    stayLines: bled.length,
  };
}
