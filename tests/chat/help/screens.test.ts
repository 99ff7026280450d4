import { describe, expect, it } from 'vitest';
import { helpList, helpMessage, screenHelp } from '../../../src/chat/answers/help.ts';
import { practiceOf, screenGroups, screenOf } from '../../../src/chat/help/screens.ts';
import { usualChanges } from '../../../src/chat/help/usual-changes.ts';
import { commandVerbs } from '../../../src/chat/typed/parse-command.ts';
import { lineVerbs } from '../../../src/chat/verbs/line-verbs.ts';
import { lineView, menuView } from '../../../src/chat/views/menu-view.ts';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import type { Json } from '../../../src/practice/platform/message.ts';
import { drawnAnswer } from '../../../src/slack/render/message.ts';
import { drawnView } from '../../../src/slack/render/view.ts';
import { buttonsIn } from '../../support/bot-on-platform.ts';
import { LineLog, testWard } from '../../support/line-builder.ts';
import * as fc from '../../support/properties.ts';

const screens = screenGroups.flatMap((group) => group.screens);
const policy = defaultPolicy('Europe/Berlin');
const now = Date.parse('2026-11-24T21:10:00Z');
const given = { wardId: 'T0TEST.C0WARD', command: '/lines', policy, now };

describe('the screens of help', () => {
  it('are one for every verb of the command, each in one group', () => {
    expect(screens.map(({ verb }) => verb).toSorted()).toEqual(commandVerbs.toSorted());
  });

  it.each(screens)('$verb is practised, or says why not', ({ verb, practise }) => {
    const kind = practiceOf(verb);
    expect(kind ?? practise).toEqual(practise);
    expect(kind === undefined ? JSON.stringify(practise) : '{"no":"."}').toMatch(/^\{"no":".*\."\}$/);
  });

  it('of every verb of a line works out what its entries do to the duties', () => {
    expect(lineVerbs.filter(({ verb }) => screenOf(verb)?.usual === undefined)).toEqual([]);
  });

  // Message text 4,000 characters (chat.update) and 13,200 of blocks (github slackapi/bolt-js 2509).
  it.each(screens)('$verb fits a message and begins with its name', (screen) => {
    const { text, blocks } = drawnAnswer(screenHelp(given, screen));
    expect(text.startsWith(`Help. ${screen.title}: `)).toBe(true);
    expect(text.length).toBeLessThan(4_000);
    expect(JSON.stringify(blocks).length).toBeLessThan(12_800);
    expect(text).not.toContain('/artline');
    expect(text).not.toMatch(/[*_`]|undefined|\. \./);
  });

  it('name the buttons of menu and line as they stand there, whoever is on call', async () => {
    const line = new LineLog(now).state();
    const out = new LineLog(now).add('removed', now, { reason: 'planned' }).state();
    const pages = [
      ...(await Promise.all(
        [{}, { rota: {} }].map((changed) =>
          menuView({ ward: testWard(changed), lines: [line] }, { of: async (user) => user }, now),
        ),
      )),
      ...[line, out].map((one) => lineView('T0TEST.C0WARD', one, { facts: '', due: [] })),
    ];
    const offered = pages.flatMap((page) => buttonsIn(drawnView(page).blocks as unknown as Json[]));
    const seen = offered.flatMap(({ action_id, text }) => {
      const screen = screenOf(String(action_id).split(':')[1] ?? '');
      const label = (text as { text: string }).text;
      // A line's page has one of its own for who has it.
      return screen && label !== 'Give to a nurse…' ? [[screen.thumb, `*${label}*`] as const] : [];
    });
    expect(new Set(seen.map(([, label]) => label)).size).toBeGreaterThan(20);
    for (const [thumb, label] of seen) expect(thumb).toContain(label);
  });

  it('fit one message as a list', () => {
    const { text, blocks = [] } = drawnAnswer(helpList(given));
    expect(text.length).toBeLessThan(4_000);
    expect(blocks.length).toBeLessThanOrEqual(50);
    expect(JSON.stringify(blocks).length).toBeLessThan(12_800);
  });

  it('are found by their verb, and by one that is nearly so', () => {
    expect(helpMessage(given, 'flush').text).toMatch(/^Help\. Flush: /);
    expect(helpMessage(given, 'FLUSH now').text).toMatch(/^Help\. Flush: /);
    expect(helpMessage(given, 'redres').text).toMatch(/Did you mean \/lines help redress\?/);
    expect(helpMessage(given, 'qwertzuiop').text).toMatch(/^No verb is called “qwertzuiop”\. Type /);
  });

  it('can be made at any time, under any intervals a ward may set', () => {
    const anyPolicy = fc.record({
      flushEveryMin: fc.integer({ min: 15, max: 360 }),
      siteCheckEveryH: fc.integer({ min: 1, max: 12 }),
      redressEveryH: fc.constantFrom<12 | 24>(12, 24),
      runOutMarginMin: fc.integer({ min: 5, max: 120 }),
      stillNeededEveryH: fc.integer({ min: 12, max: 72 }),
    });
    const anyTime = fc.integer({ min: 0, max: 5 * 24 * 60 }).map((minutes) => now - minutes * 60_000);
    fc.assert(
      fc.property(anyPolicy, anyTime, (changed, at) => {
        for (const screen of screens) usualChanges(screen, { ...policy, ...changed }, at);
      }),
      { numRuns: 40 },
    );
  });

  // The table of duties: what clears each, and what a disturbance, redress, sample and closed fault ask for at once.
  it.each([
    ['zero', ['zero'], []],
    ['test', ['test'], []],
    ['flush', ['flush'], []],
    ['source', ['source'], []],
    ['redress', ['redress', 'site'], ['zero']],
    ['check', ['site'], []],
    ['moved', [], ['zero']],
    ['sample', ['flush'], ['zero']],
    ['fault', [], ['zero', 'test']],
    ['reading', [], []],
    ['level', [], []],
    ['remove', [], ['hold', 'pulse', 'pulseNextDay']],
  ])('%s does %j and brings %j', (verb, does, brings) => {
    const screen = screenOf(verb)!;
    const { done, brought } = usualChanges(screen, policy, now)!.changes;
    expect(done.map(({ kind }) => kind)).toEqual(expect.arrayContaining(does));
    expect(brought.map(({ kind }) => kind)).toEqual(brings);
  });
});
