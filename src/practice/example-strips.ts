import {
  pointsPerBeat,
  pressuresOfBeat,
  referenceWaveform,
} from '../domain/dynamic-response/reference-waveform.ts';

/** A pressure line as an oscillator of second order. */
interface Line {
  naturalHz: number;
  damping: number;
}

const samplesPerS = 250;
/** Steps of the line for each sample; 8 kHz follows anything below 40 Hz. */
const stepsPerSample = 32;
const lengthS = 20;
const settleS = 2;
const beatS = 0.5;
const breathS = 4;
const flush = { fromS: 12, toS: 13.2, bagMmHg: 300 };

/** A dog's invented pulse, 118/72 at 120 a minute with breathing, and one fast flush, as `line` shows it: CSV. */
function stripCsv(line: Line): string {
  const beat = pressuresOfBeat(referenceWaveform(118, 72));
  const stepS = 1 / (samplesPerS * stepsPerSample);
  const angular = 2 * Math.PI * line.naturalHz;
  const rows = ['time_s,abp_mmHg'];
  let [shown, speed] = [72, 0];
  for (let step = Math.round(-settleS / stepS); step < lengthS / stepS; step += 1) {
    const atS = step * stepS;
    const phase = (atS + settleS) / beatS;
    const pulse = beat[Math.floor((phase % 1) * pointsPerBeat)] ?? 0;
    const isOpen = atS >= flush.fromS && atS < flush.toS;
    const truth = isOpen ? flush.bagMmHg : pulse + 2 * Math.sin((2 * Math.PI * atS) / breathS);
    speed += stepS * (angular ** 2 * (truth - shown) - 2 * line.damping * angular * speed);
    shown += stepS * speed;
    if (step >= 0 && step % stepsPerSample === 0) rows.push(`${atS.toFixed(3)},${shown.toFixed(1)}`);
  }
  return `${rows.join('\n')}\n`;
}

/** Invented strips that the practice page offers by name, so that reading one can be tried without a monitor. */
export const exampleStrips: readonly { name: string; fileName: string; bytes: () => Buffer }[] = [
  {
    name: 'Example strip: normal',
    fileName: 'example-normal.csv',
    bytes: () => Buffer.from(stripCsv({ naturalHz: 24, damping: 0.6 })),
  },
  {
    name: 'Example strip: rings',
    fileName: 'example-rings.csv',
    bytes: () => Buffer.from(stripCsv({ naturalHz: 12, damping: 0.15 })),
  },
];
