import { expect, it } from 'vitest';
import { exampleStrips } from '../../src/practice/example-strips.ts';

/** Times and pressures of an example. */
function samplesOf(at: number): { atS: number; mmHg: number }[] {
  const lines = exampleStrips[at]?.bytes().toString('utf8').trimEnd().split('\n') ?? [];
  expect(lines[0]).toBe('time_s,abp_mmHg');
  return lines.slice(1).map((line) => {
    const [atS = Number.NaN, mmHg = Number.NaN] = line.split(',').map(Number);
    return { atS, mmHg };
  });
}

const between = (samples: { atS: number; mmHg: number }[], fromS: number, toS: number) =>
  samples.filter(({ atS }) => atS >= fromS && atS < toS);
const lowest = (samples: { mmHg: number }[]) => Math.min(...samples.map(({ mmHg }) => mmHg));
const highest = (samples: { mmHg: number }[]) => Math.max(...samples.map(({ mmHg }) => mmHg));

it.each([0, 1])('is 20 s at 250 samples a second with a flush to 300 mmHg held flat (example %i)', (at) => {
  const samples = samplesOf(at);
  expect(samples).toHaveLength(5_000);
  expect(samples.every(({ atS }, index) => Math.abs(atS - index / 250) < 0.0006)).toBe(true);
  const held = between(samples, 12.9, 13.2);
  expect(lowest(held)).toBeGreaterThan(298);
  expect(highest(held)).toBeLessThan(302);
});

// Overshoot of a second-order system after a step: exp(-πζ/√(1-ζ²)), 9.5 % for ζ 0.6 and 62 % for ζ 0.15 (any
// textbook of control; from memory).
it('falls below the pulse after the flush as far as its damping says', () => {
  const depths = [0, 1].map((at) => {
    const samples = samplesOf(at);
    return lowest(between(samples, 6, 12)) - lowest(between(samples, 13.2, 13.4));
  });
  const [normal = Number.NaN, rings = Number.NaN] = depths;
  // The step is 300 mmHg down to a pulse that goes on meanwhile, between 70 and 120 mmHg.
  expect(normal).toBeLessThan(0.095 * 230);
  expect(rings).toBeGreaterThan(0.62 * 180 - 50);
  expect(rings).toBeLessThan(0.62 * 230);
});

it('shows a higher systolic on the line that rings, of the same pulse', () => {
  const tops = [0, 1].map((at) => highest(between(samplesOf(at), 2, 11.5)));
  const [normal = Number.NaN, rings = Number.NaN] = tops;
  // 118 mmHg and 2 of breathing.
  expect(Math.abs(normal - 120)).toBeLessThan(2);
  expect(rings).toBeGreaterThan(normal + 5);
});
