import { describe, expect, it } from 'vitest';
import { mineParts } from '../../../src/chat/messages/mine-list.ts';
import { homeView } from '../../../src/chat/views/home-view.ts';
import { mineView } from '../../../src/chat/views/mine-view.ts';
import { ownLines } from '../../../src/domain/ward/mine.ts';
import type { Json } from '../../../src/practice/platform/message.ts';
import { viewRefusal } from '../../../src/practice/platform/view-limits.ts';
import { drawnHome, drawnView } from '../../../src/slack/render/view.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';

const names = { of: async (user: string) => user };
const ward = (id: string) => ({ ...testWard(), id: `T0TEST.C0WARD${id}` });
const lines = (count: number, from: number) =>
  Array.from({ length: count }, (_, index) =>
    new LineLog(
      '06:00',
      { patient: { name: `${'W'.repeat(37)}${String(from + index).padStart(3, '0')}` } },
      `line-${from + index}`,
    ).state(),
  );

// 100 blocks and 250 kB: Slack's limits of a view (docs.slack.dev/reference/views, m:views.open), as the stand-in keeps them.
describe('Home', () => {
  it.each([
    [1, 60],
    [3, 40],
    [9, 12],
  ])(
    'of somebody with %i wards of %i lines each, all of them late, is what the platform takes',
    async (wards, count) => {
      const views = Array.from({ length: wards }, (_, index) => ({
        ward: ward(String(index)),
        lines: lines(count, index * 100),
      }));
      const view = drawnHome(
        await homeView(views, 'nina', names, wall('2026-11-26 12:00'), {
          text: 'Recorded.',
          parts: [],
        }),
      );
      expect(viewRefusal(view as unknown as Json)).toBeNull();
      expect(view.blocks.length).toBeLessThanOrEqual(100);
      expect(JSON.stringify(view)).toContain('do these first');
    },
  );

  it('says the same a minute later while nothing changed', async () => {
    const view = { ward: ward('A'), lines: lines(3, 1) };
    const at = async (clock: string) =>
      JSON.stringify(await homeView([view], 'nina', names, wall(clock), null));
    expect(await at('21:31')).toBe(await at('21:30'));
  });
});

describe('the list of what is mine', () => {
  it('has what a clinician must look at before care that is due longer', async () => {
    const log = new LineLog('20:00').add('siteChecked', '22:00', { finding: { swelling: true } });
    const view = { ward: ward('A'), lines: [log.state()] };
    const now = wall('22:10');
    const said = JSON.stringify(
      await mineParts(ownLines(view.ward, view.lines, 'nina', now), view, names, now),
    );
    // Zero, test and flush are due since 20:00 and 21:00.
    expect(said.indexOf('Swelling')).toBeGreaterThan(0);
    expect(said.indexOf('Swelling')).toBeLessThan(said.indexOf('Zero and level'));
  });

  it('of 60 lines that are all late is what the platform takes', async () => {
    const view = { ward: ward('A'), lines: lines(60, 1) };
    const now = wall('2026-11-26 12:00');
    const parts = await mineParts(ownLines(view.ward, view.lines, 'nina', now), view, names, now);
    expect(viewRefusal(drawnView(mineView(view.ward.id, parts)) as unknown as Json)).toBeNull();
  });
});
