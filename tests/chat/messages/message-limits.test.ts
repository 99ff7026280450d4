import { describe, expect, it } from 'vitest';
import { asking, roomInWords, roomWithButtons } from '../../../src/app/asking-posts.ts';
import { buttonRow, paragraph } from '../../../src/chat/parts.ts';
import { faultSigns } from '../../../src/domain/fault/fault-questions.ts';
import { blocksOf } from '../../../src/slack/render/blocks.ts';
import { drawnMessage } from '../../../src/slack/render/message.ts';
import { rich } from '../../../src/wording/rich-text.ts';
import { handoverMessages } from '../../support/handed-over.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { composed, names, post } from './compose-for-test.ts';

// chat.update takes 4,000 characters of text; a message 50 blocks; their JSON 13,200 characters (slackapi/bolt-js 2509).
const textMax = 4_000;
const blocksMax = 50;
const jsonMax = 13_200;

/** As many letters as a name holds. */
const widest = 'Ｗ'.repeat(40);
/** As many of those that the platform writes as five. */
const escapes = '&'.repeat(40);
const longest = '&< lorem ipsum >&'.repeat(18).slice(0, 300);

/** A line with everything open that a line flushed by hand can have open, and as many words about it as there can be. */
function loaded(index: number, name = widest): LineLog {
  const log = new LineLog(
    '2026-11-20 20:00',
    { patient: { name, bleeding: true }, indication: name.repeat(3) },
    `abcdef${String(index).padStart(4, '0')}`,
  );
  log
    .add('disturbed', '19:00', { how: 'disconnected' })
    .add('sampled', '19:05', { volumeMl: 1, flushed: false });
  log.add('siteChecked', '19:10', {
    finding: { swelling: true, pain: true, ooze: true, cold: true, noPulse: true, soiled: true },
  });
  for (const sign of ['flat', 'spiky', 'drifting', 'none', 'flat'] as const)
    log.add('faultOpened', '19:20', { sign }).add('faultClosed', '19:21', { resolved: false, sign });
  for (const sign of faultSigns)
    log
      .add('faultOpened', '19:30', { sign })
      .add('faultStep', '19:31', { step: `${sign}.patient`, answer: 'well' });
  return log;
}

/** The duties that are due at 20:00, each told that it cannot be done, taken over and put off. */
function wordsAbout(log: LineLog): LineLog {
  const duties = log.duties(testWard().policy, '20:00').filter(({ dueAt }) => dueAt <= wall('20:00'));
  for (const { kind, dueAt } of duties) log.add('noted', '20:01', { text: longest, cannot: [kind, dueAt] });
  const pairs = duties.map(({ kind, dueAt }) => [kind, dueAt] as [typeof kind, number]);
  return log
    .add('snoozed', '20:02', { duties: pairs, until: wall('20:32') })
    .add('claimed', '20:03', { duties: pairs, until: wall('20:33') });
}

/** The platform would take it. */
function expectTaken({ text, blocks }: { text: string; blocks: unknown[] }): void {
  expect(text.length).toBeLessThanOrEqual(textMax);
  expect(blocks.length).toBeLessThanOrEqual(blocksMax);
  expect(JSON.stringify(blocks).length).toBeLessThanOrEqual(jsonMax);
}

/** It would, and nothing of it was cut to make it so. */
function expectFits({ text, blocks }: { text: string; blocks: unknown[] }): void {
  expectTaken({ text, blocks });
  expect(JSON.stringify(blocks)).not.toContain('More than fits');
  // Only a quoted reason may be cut short, and a name where a clinician's locked phone must hold the rest.
  expect(text.replace(/^.*Call the ward or [a-z ]+\./, '').replaceAll('…”', '')).not.toContain('…');
}

describe('messages that ask', () => {
  const ward = testWard();
  const logs = Array.from({ length: 12 }, (_, index) => loaded(index));
  const duties = logs.flatMap((log) =>
    log.duties(ward.policy, '20:00').filter(({ dueAt }) => dueAt <= wall('20:00')),
  );

  it.each([
    ['nudge', {}],
    ['escalation', { to: { user: 'nina' }, about: { what: 'nurse' } }],
    ['escalation', { to: { user: 'vet' }, about: { what: 'clinician' } }],
  ] as const)('hold every duty of 12 loaded lines in parts that fit (%s %j)', async (kind, more) => {
    const lines = logs.map((log) => log.state());
    const parts = asking(duties, roomWithButtons, post(kind, '20:00', more));
    expect(duties.length).toBeGreaterThan(60);
    expect(parts.flatMap(({ asked }) => asked)).toHaveLength(duties.length);
    for (const part of parts) expectFits(await composed(part, ward, lines));
  });

  it.each([
    ['wide letters', widest],
    ['escapes', escapes],
  ])(
    'are taken also when as much as there can be is said about each duty, with names of %s',
    async (_what, name) => {
      const lines = logs.map((_log, index) => wordsAbout(loaded(index, name)).state());
      for (const kind of ['nudge', 'escalation'] as const) {
        const parts = asking(duties, roomWithButtons, post(kind, '20:00', { about: { what: 'nurse' } }));
        for (const part of parts) expectTaken(await composed(part, ward, lines, '20:04'));
      }
    },
  );

  it('keep what belongs to one line together, the longest due first, under keys of their own', () => {
    const parts = asking(duties, roomWithButtons, post('nudge', '20:00', { key: '1.nudge.x' }));
    expect(parts.map(({ key }) => key)).toEqual(
      parts.map(({ key }) => key).toSorted((a, b) => (a < b ? -1 : 1)),
    );
    expect(new Set(parts.map(({ key }) => key)).size).toBe(parts.length);
    const standsIn = Map.groupBy(
      parts.flatMap(({ key, lines }) => lines.map((id) => ({ key, id }))),
      ({ id }) => id,
    );
    expect([...standsIn.values()].every(({ length }) => length === 1)).toBe(true);
    const firsts = parts.map(({ asked }) => Math.min(...asked.map(({ dueAt }) => dueAt)));
    expect(firsts).toEqual(firsts.toSorted((a, b) => a - b));
  });

  it('say in words alone what is late of every line, in parts that fit', async () => {
    const bare = testWard({ rota: {} });
    const lines = logs.map((log) => log.state());
    for (const what of ['nobody on call', 'was down']) {
      for (const part of asking(
        duties,
        roomInWords,
        post('notice', '20:00', { about: { what, for: wall('19:00') } }),
      )) {
        expectFits(await composed(part, bare, lines));
      }
    }
  });
});

describe('handover pages', () => {
  const pages = async (name: string) => {
    const logs = Array.from({ length: 9 }, (_, index) => wordsAbout(loaded(index, name)));
    const made = await handoverMessages(logs, testWard(), wall('20:05'), { names, forMs: wall('20:05') });
    const paged = made.flatMap(({ post: { about, lines } }) => (about?.what === 'patients' ? lines : []));
    expect(paged).toHaveLength(9);
    return made.map(({ message }) => message);
  };

  it('hold loaded patients whole', async () => {
    for (const page of await pages(widest)) expectFits(page);
  });

  it('are taken also where every letter is written as five', async () => {
    for (const page of await pages(escapes)) expectTaken(page);
  });
});

describe('a message that is too large all the same', () => {
  const buttons = (index: number) =>
    buttonRow(
      `duties:${index}`,
      ['done', 'later', 'cannot'].map((verb) => ({
        action: `${verb}:${index}`,
        text: verb,
        value: 'v'.repeat(300),
      })),
    );

  it('keeps all its words and the first button of each line before it loses any of them', () => {
    const parts = Array.from({ length: 16 }, (_, index) => [
      paragraph(`Line ${index}`),
      buttons(index),
    ]).flat();
    const cut = drawnMessage({ lead: 'Due now.', parts });
    expectFits(cut);
    expect(JSON.stringify(cut.blocks)).toContain('Line 15');
    expect(JSON.stringify(cut.blocks)).toContain('done:15');
    expect(JSON.stringify(cut.blocks)).not.toContain('later');
  });

  it('says that there is more, and where, rather than be refused', () => {
    const parts = Array.from({ length: 80 }, (_, index) => paragraph(`Line ${index} ${'x'.repeat(200)}`));
    const { text, blocks: kept } = drawnMessage({ lead: 'Due now.', parts });
    expect(text.length).toBeLessThanOrEqual(textMax);
    expect(kept.length).toBeLessThanOrEqual(blocksMax);
    expect(kept.at(-1)).toEqual(
      blocksOf([paragraph('More than fits one message: /artline due shows the rest.')])[0],
    );
  });
});

describe('the text of a message', () => {
  it('says first what the lock screen shows, then what the blocks say besides, each once and without marks for bold', () => {
    const { text } = drawnMessage({
      lead: 'Biscuit: flush, 20 min late.',
      parts: [
        paragraph(rich`*Biscuit: flush, 20 min late.*`),
        paragraph(rich`*Next*\n• Zero 21:00\n• Site 23:00`),
      ],
    });
    expect(text).toBe('Biscuit: flush, 20 min late. Next. Zero 21:00. Site 23:00.');
  });

  it('keeps a patient’s own stars', () => {
    expect(drawnMessage({ lead: 'x', parts: [paragraph(rich`*${'*bold*'}* · dog`)] }).text).toBe(
      'x. *bold* · dog.',
    );
  });
});
