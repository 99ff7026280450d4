import { execFile } from 'node:child_process';
import { promisify } from 'node:util';
import { beforeAll, describe, expect, it } from 'vitest';

const run = promisify(execFile);
let told = '';
beforeAll(async () => {
  // A failure or an exit code other than 0 rejects.
  told = (await run(process.execPath, ['src/programs/demo/main.ts'], { maxBuffer: 10_000_000 })).stdout;
}, 60_000);

// The contract of `npm run demo`: one night, 19:00 to 08:00, ends by itself with exit code 0.
describe('the demo', () => {
  it('tells of four patients', () => {
    for (const name of ['Biscuit', 'Oskar', 'Miso', 'Juno']) expect(told).toContain(`place ${name}`);
  });

  it('tells of a cat near its limit, kept by a clinician and taken out', () => {
    expect(told).toMatch(/03:20 {2}→ Dr Suvi Aaltola: MISO cat: dwell limit reached now, limb at risk\./);
    expect(told).toMatch(/Recorded for Miso .*line kept in: transfusion under way/);
    expect(told).toMatch(/Recorded for Miso .*taken out: dwell limit/);
  });

  it('tells of a missed flush that climbs from the ward to the nurse to the clinician, who takes it and does it', () => {
    const steps = [
      /→ ward: Due now, .*Oskar \(right dorsal pedal\): flush/,
      /→ Ina Brandvold: Oskar \(right dorsal pedal\): flush, 1\d min late/,
      // It was added to the message about Miso, which is graver: no phone rang, and she takes it from there.
      /Recorded for Oskar .*taken over/,
      /Recorded for Oskar .*flushed/,
    ];
    let from = told.indexOf('03:2');
    for (const step of steps) {
      const found = told.slice(from).search(step);
      expect(found, String(step)).toBeGreaterThanOrEqual(0);
      from += found;
    }
  });

  it('tells of a plan of the night’s visits, as many as the hourly flush alone needs', () => {
    expect(told).toMatch(/Rounds until Wed 25 Nov 07:00.* With Ina Brandvold: \d+ visits\./);
    const [, planned] =
      /Planned at 20:10 for 4 lines until 07:00: (\d+) visits do everything by the time it's due\./.exec(
        told,
      ) ?? [];
    // Oskar, flushed 19:12, asks for eleven: 20:12 and hourly to 06:12. Few more for all four lines.
    expect(Number(planned)).toBeGreaterThanOrEqual(11);
    expect(Number(planned)).toBeLessThanOrEqual(15);
  });

  it('ends with a handover of every patient, in ISBAR order, with the rounds to come', () => {
    const handover = told.slice(told.indexOf('The handover, as it stands in the channel'));
    for (const words of [
      'Biscuit',
      'Juno',
      'Miso',
      'Oskar',
      'Identify',
      'Recommendation',
      'Watch, most urgent first',
      'Visits until',
      'Stock for the shift',
      'Not a monitor',
    ]) {
      expect(handover).toContain(words);
    }
  });
});
