import { type ByTag, byTag } from '../../domain/by-kind.ts';
import type { ExcursionFinding } from '../../domain/strip/excursion-findings.ts';
import type { PatientFinding } from '../../domain/strip/patient-findings.ts';
import type { StripNote } from '../../domain/strip/pressure-strip.ts';
import type { TraceFault } from '../../domain/strip/trace-faults.ts';
import { spanWords } from './span-words.ts';

const whole = (value: number) => String(Math.round(value));

function driftText({ mmHgPerS, lengthS }: { mmHgPerS: number; lengthS: number }): string {
  return `The pressure ${mmHgPerS > 0 ? 'rises' : 'falls'} by ${whole(Math.abs(mmHgPerS * lengthS))} mmHg over the strip (${Math.abs(mmHgPerS).toFixed(1)} mmHg/s), so the pressures are averages. Look at the animal first; then at the transducer’s height, the zero and the joints.`;
}

const faults: ByTag<'fault', TraceFault, [], string> = {
  'flat line': ({ medianMmHg }) =>
    `The trace is a flat line at ${whole(medianMmHg)} mmHg. Look at the animal first: feel a pulse; then look for a closed tap, a kink or a clot.`,
  'reads about 0': ({ medianMmHg }) =>
    `The trace stays at ${whole(medianMmHg)} mmHg without a pulse: the transducer is open to air, disconnected or closed to the animal. Look at the animal first, then at taps and joints.`,
  clipped: (fault) =>
    fault.at === 'either'
      ? `${whole(100 * fault.share)} % of the trace lies at exactly its highest or lowest value: the recorder may cut it off there. Widen its scale, or export in finer steps.`
      : `The ${fault.at} of the trace is cut off at ${whole(fault.mmHg)} mmHg in ${fault.places} places: the true ${fault.at === 'top' ? 'systolic is higher' : 'diastolic is lower'}. Widen the scale of the recorder.`,
  pegged: ({ share }) =>
    `${whole(100 * share)} % of the trace lies at the recorder’s limit, so its pressures are not the animal’s. Widen the scale, zero, and export again.`,
  inverted: () =>
    'The trace falls quicker than it rises, so it seems to be upside down. Check the channel’s sign and export again.',
  square: () =>
    'The trace jumps between two levels, as no pulse does. Look at the animal first; then at the cable, the connector and the channel that was exported.',
  'too noisy': ({ noiseMmHg, pulseMmHg }) =>
    `The trace is noisy (${noiseMmHg.toFixed(1)} mmHg against a pulse of ${whole(pulseMmHg)} mmHg): systolic and diastolic are rough.`,
  'no steady beat': () =>
    'No steady pulse was found on the trace. Look at the animal first: feel a pulse; then export a stretch without movement.',
  'beats disagree': () =>
    'The waves are too unlike each other to be sure that they are beats. Feel a pulse and count it; then export a stretch without movement.',
  'rate open': ({ ratePerMin, openPerMin }) =>
    `The rate could be ${whole(ratePerMin)} or ${whole(openPerMin)} beats per minute: the smaller waves can be beats, a large dicrotic wave or ringing. Count the pulse or look at the ECG.`,
  'too short': ({ lengthS }) =>
    `The strip is ${lengthS.toFixed(1)} s long; 10 s or more are needed to judge it, 30 to 60 s are best. Export a longer stretch.`,
  'too few beats': ({ beats, wanted, isUneven }) =>
    `Only ${beats} whole beats are on the strip; ${wanted ?? 'more'} are needed${isUneven ? ' of an uneven rhythm' : ''}. Export a longer stretch, 30 to 60 s.`,
  'much left out': ({ share }) =>
    `${whole(100 * share)} % of the strip is disturbed, so which part is the usual pulse is a guess. Export a stretch without flush or movement.`,
  'level changes': () =>
    'The level of the whole trace changes, and which level is the usual one is not known. Look at the animal first; then at the height of limb and transducer.',
  drifts: driftText,
  'like a sine': () =>
    'The waves are as round as a sine: a very damped line, or something that is no pulse. Feel a pulse; then do a fast flush and upload again.',
  'weak pulse': ({ pulseMmHg }) =>
    `The pulse is only ${whole(pulseMmHg)} mmHg tall. Look at the animal first: feel a pulse; then look for a kink, a clot or a closed tap.`,
  'wrong units': ({ medianMmHg, pulseMmHg }) =>
    pulseMmHg === null
      ? `A mean near ${whole(medianMmHg)} mmHg is hardly possible: the numbers may be in another unit than the heading says (kPa taken twice, cmH₂O, Pa). Check the unit and upload again.`
      : `A mean near ${whole(medianMmHg)} mmHg with a pulse of ${whole(pulseMmHg)} mmHg looks like kPa labelled as mmHg. If it is true the animal is in grave danger: look at it first, then check the unit.`,
  negative: ({ medianMmHg }) =>
    `The pressure is below 0 (median ${whole(medianMmHg)} mmHg): the zero is wrong, or the trace is upside down. Zero the transducer and export again.`,
};

/** What is wrong with a trace, with its numbers, and what to do. */
export const faultText = (fault: TraceFault): string => byTag('fault', faults, fault);

const times = (count: number) => (count === 1 ? 'once' : `${count} times`);
const heights = ({ tallMmHg, smallMmHg }: { tallMmHg: number; smallMmHg: number }) =>
  `pulses of ${whole(tallMmHg)} and ${whole(smallMmHg)} mmHg`;

const patients: ByTag<'finding', PatientFinding, [], string> = {
  alternans: (found) => `Tall and small beats take turns (pulsus alternans): ${heights(found)}.`,
  bigeminy: () =>
    'Beats come in pairs, an early one and then a pause (bigeminy, or every third beat missing).',
  'every second small': (found) =>
    `Every second beat is small (${found.isEven ? 'pulsus alternans, or breathing at half the rate' : 'pulsus alternans or bigeminy'}): ${heights(found)}.`,
  pauses: ({ count }) => `A beat is missing ${times(count)}.`,
  irregular: (found) =>
    found.by === 'early beats'
      ? `A beat comes early ${times(found.count)}, with a pause after it.`
      : `The beats are irregular (intervals vary by ${whole(100 * found.variation)} %).`,
};

/** What the beats say of the patient, and what to do. */
export function patientText(finding: PatientFinding): string {
  return `${byTag('finding', patients, finding)} This is the patient, not the line: tell the clinician and look at the ECG.`;
}

const excursions: Readonly<Record<ExcursionFinding['kind'], (lengthS: string) => string>> = {
  above: () => 'the trace lies far above the pulse (a flush, a closed tap or a movement)',
  below: () => 'the trace lies far below the pulse (open to air, a tap, a sample or a movement)',
  level: () => 'the whole trace lies at another level (limb or transducer moved?)',
  'no pulse': (lengthS) =>
    `there is no pulse for ${lengthS} s: look at the animal first, then for a closed tap, a clamp or a kink`,
};

/** A stretch that is left out, and what it may be. */
export function excursionText({ kind, fromS, toS }: ExcursionFinding): string {
  return `From ${fromS.toFixed(1)} to ${toS.toFixed(1)} s ${excursions[kind]((toS - fromS).toFixed(1))}. It is left out.`;
}

const notes: ByTag<'note', StripNote, [], string> = {
  converted: ({ from }) => `Converted from ${from} to mmHg.`,
  'last part': ({ readS, fileS }) =>
    `The file holds ${spanWords(fileS)}; only the last ${spanWords(readS)} were read.`,
  'last line broken': () => 'The last line breaks off; it was left out. The file may be incomplete.',
  'no checksum': () => 'The header has no checksum, so the data could not be checked.',
  'could drift': () => 'The pressure could drift: the strip is too short to tell.',
  drifts: driftText,
};

/** What the reader of a strip must know beside its findings. */
export const noteText = (note: StripNote): string => byTag('note', notes, note);
