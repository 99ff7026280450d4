import { describe, expect, it } from 'vitest';
import { roundList } from '../../../src/chat/answers/round-list.ts';
import { drawnAnswer } from '../../../src/slack/render/message.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { names } from '../messages/compose-for-test.ts';

const ward = testWard({ siteCheckEveryH: 12, redressEveryH: 24 });
const seen = (name: string, flushed: string, nurse: string) =>
  new LineLog('2026-11-24 17:00', { patient: { name }, nurse }, name)
    .inOrder('19:00')
    .add('sourceChecked', '19:00', {})
    .add('siteChecked', '20:00', { finding: {} })
    .add('flushed', flushed, {})
    .state();

describe('the rounds of a shift, for one reader', () => {
  it('are told nurse by nurse, their own first, with when, whom, what and what to bring', async () => {
    const lines = [seen('Biscuit', '04:20', 'nina'), seen('Pretzel', '04:50', 'noor')];
    const { text } = await roundList({ ward, lines }, names, 'noor', wall('05:00'));
    // Due until 07:00: Biscuit 05:20 and, done then, 06:20; Pretzel 05:50 and 06:50.
    expect(text).toBe(
      'Rounds until Wed 25 Nov 07:00, if they are walked as they stand here. With @noor: 2 visits. 05:50 Pretzel: flush (bring flush syringe). 06:50 Pretzel: flush (bring flush syringe). With Nina Vale: 2 visits. 05:20 Biscuit: flush (bring flush syringe). 06:20 Biscuit: flush (bring flush syringe). Flush and dressing as the ward’s protocol says.',
    );
  });

  it('say what to bring only of a visit that needs something', async () => {
    // The site was looked at 20:00 and is owed again 06:00; flushed by a bag that lasts, nothing else is owed by 07:00.
    const line = { ...seen('Biscuit', '05:30', 'nina'), flushMode: 'continuous' as const };
    const often = testWard({ siteCheckEveryH: 10, redressEveryH: 24 });
    const { text } = await roundList({ ward: often, lines: [line] }, names, 'nina', wall('05:00'));
    expect(text).toMatch(/06:\d\d Biscuit: site and limb check\. Flush and dressing/);
  });

  it('name the one animal that alone needs something in a round of more lines than are named', async () => {
    const lines = Array.from({ length: 10 }, (_, index) => seen(`Dog${index}`, '05:00', 'nina'));
    const soiled = new LineLog('2026-11-24 17:00', { patient: { name: 'Tilly' }, nurse: 'nina' }, 'Tilly')
      .inOrder('19:00')
      .add('sourceChecked', '19:00', {})
      .add('flushed', '05:00', {})
      .add('siteChecked', '05:20', { finding: { soiled: true } })
      .state();
    const { text } = await roundList({ ward, lines: [...lines, soiled] }, names, 'nina', wall('05:30'));
    expect(text).toMatch(/11 lines: .*flush ×11/);
    expect(text).toContain('redress of Tilly');
    expect(text).not.toContain('×1,');
  });

  it('speak of the coming shift once it begins within the hour', async () => {
    const lines = [seen('Biscuit', '05:50', 'nina')];
    const { text } = await roundList({ ward, lines }, names, 'nina', wall('06:10'));
    expect(text).toContain('Rounds until Wed 25 Nov 19:00');
    expect(text).toContain('zero and level');
  });

  it('say that there is nothing to walk for', async () => {
    expect((await roundList({ ward, lines: [] }, names, 'nina', wall('05:00'))).text).toMatch(
      /^No arterial lines/,
    );
    const lines = [seen('Biscuit', '05:30', 'nina')].map((line) => ({
      ...line,
      flushMode: 'continuous' as const,
    }));
    expect((await roundList({ ward, lines }, names, 'nina', wall('05:40'))).text).toContain(
      'With Nina Vale: nothing due.',
    );
  });

  // A message holds 50 blocks, 4,000 characters of text and 13,200 of blocks (docs.slack.dev; slackapi/bolt-js 2509).
  it('fit one message with many nurses and the longest names, and count what they leave out', async () => {
    const lines = Array.from({ length: 40 }, (_, index) =>
      seen(`${'&'.repeat(38)}${index}`, `18:${10 + index}`, `nurse${index % 12}`),
    );
    const { text, blocks = [] } = drawnAnswer(
      await roundList({ ward, lines }, names, 'nurse3', wall('19:00')),
    );
    expect(text).toMatch(/ \d+ more visits: \/artline handover lists all\./);
    expect(text.length).toBeLessThanOrEqual(4_000);
    expect(blocks.length).toBeLessThanOrEqual(50);
    expect(JSON.stringify(blocks).length).toBeLessThanOrEqual(13_200);
    expect(text).toMatch(/here\. With @nurse3: /);
  });
});
