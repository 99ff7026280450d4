import {
  type CauseName,
  likelyCauses,
  type ResponseFound,
} from '../../domain/dynamic-response/likely-cause.ts';
import type { RegionVerdict } from '../../domain/dynamic-response/regions.ts';
import { listed } from './duty-words.ts';

/** What a ward's limits must be called wherever a verdict is shown: no source gives the whole table of them. */
export const regionsLabel = 'ward policy, approximate';

/** What a region means, one sentence; say that it is approximate with it. */
export function regionWords({
  region,
  damping,
  frequency,
  wantedHz,
  heartRatePerMin,
  by,
}: RegionVerdict): string {
  const hz = Number(wantedHz.toFixed(1));
  const wanted =
    heartRatePerMin === null
      ? `${Math.round(wantedHz)} Hz, as the heart rate is not known`
      : `${hz} Hz at ${heartRatePerMin} /min`;
  const slower = (than: string) =>
    frequency === 'low' ? `, and the line is slower than wanted (${than})` : '';
  if (by === 'error')
    return `${damping === 'under' ? 'The systolic reads too high' : 'The systolic reads too low'} for this pulse${slower(`${hz} Hz`)}. The mean hardly suffers.`;
  const effect = {
    under: 'It rings: the systolic reads too high',
    good: 'The damping is good',
    over: 'It answers sluggishly: the systolic reads too low',
  }[damping];
  switch (region) {
    case 'unacceptable':
      return 'The line is too slow to be believed, whatever its damping. Go by the mean and a cuff.';
    case 'borderline':
      return `The line is barely fast enough for any pulse. ${effect}.`;
    case 'good':
      return `The damping is good and the line is fast enough (wanted: ${wanted}).`;
    case 'adequate':
      return `${damping === 'under' ? 'It rings' : 'It is rather damped'}, but the line is fast enough (wanted: ${wanted}).`;
    case 'slow for this heart rate':
      return `The damping is good, but the line is slower than wanted (${wanted}): fine detail and sharp peaks are lost or false.`;
    case 'underdamped':
    case 'overdamped':
      return `${effect}${slower(wanted)}. The mean hardly suffers.`;
  }
}

/** Before any cause is looked for: a flat trace can be true. */
const patientFirst =
  'First the animal: feel the pulse, look at the colour, take a cuff pressure. A poor trace can be a true one.';

/** Where none of the causes fits though the line rings. */
const stiffLine =
  'None of bubble, kink, clot, tubing or joint explains this: a stiff, fast line rings by itself. Go by the mean and compare with a cuff.';

/** What to try at the bedside. */
export const tryThis: Readonly<Record<CauseName, string>> = {
  kink: 'Look at the catheter under the dressing and at the joint position; straighten limb and catheter, see that no tape pinches.',
  clot: 'Draw back gently until blood flows freely, then flush gently; never flush against resistance.',
  'loose joint':
    'Feel every joint and tap from the catheter to the transducer; tighten what is loose, look for wet places.',
  bubble:
    'Look for air in taps, joints, tubing and transducer; draw or flush it out at a tap, away from the animal, never into the artery.',
  'soft tubing': 'Replace soft extension tubing by stiff pressure tubing.',
  'long tubing': 'Take out extensions and taps that are not needed; the shorter the better.',
};

/** What fits a test and what to try first, the animal before all; empty where nothing is amiss. */
export function causesWords({ damping, frequency }: ResponseFound): string {
  const causes = likelyCauses({ damping, frequency });
  const well = causes.filter(({ fits }) => fits === 'well');
  const named = well.length > 0 ? well : causes;
  const [first] = named;
  if (!first) return damping === 'good' ? '' : `${patientFirst} ${stiffLine}`;
  return `${patientFirst} Fits: ${listed(named.map(({ cause }) => cause))}. Try first: ${tryThis[first.cause]} Then test again.`;
}
