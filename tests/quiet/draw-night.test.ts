import { mkdtempSync, readFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { expect, it } from 'vitest';
import { drawNight } from './draw-night.ts';

it('draws a night with a third of the messages it had, or fewer, as a PNG', () => {
  const file = join(mkdtempSync(join(tmpdir(), 'dicrotic-night-')), 'night.png');
  const [before = 0, now = 0] = (drawNight(file).match(/\d+/g) ?? []).map(Number);
  expect(before).toBe(64);
  expect(now).toBeGreaterThan(10);
  expect(now).toBeLessThan(before / 3);
  expect([...readFileSync(file).subarray(1, 4)]).toEqual([...Buffer.from('PNG')]);
});
