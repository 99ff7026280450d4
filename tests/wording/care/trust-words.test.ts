import { describe, expect, it } from 'vitest';
import { mrkdwn } from '../../../src/slack/render/mrkdwn.ts';
import { alarmWords } from '../../../src/wording/care/finding-words.ts';
import { readingFoundWords } from '../../../src/wording/care/reading-words.ts';
import { testFoundWords } from '../../../src/wording/care/test-words.ts';
import { trustWords } from '../../../src/wording/care/trust-words.ts';
import { composed, names, post } from '../../chat/messages/compose-for-test.ts';
import { handoverTexts } from '../../support/handed-over.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';

const ward = testWard();
const { policy } = ward;

/** 16.0 Hz and 0.25, as tests/domain/trust/line-response.test.ts has it: 17 mmHg too high on 150/60 at 200 /min. */
const ringing = {
  paperMmPerS: 50,
  squareMm: 1,
  cycleLength: 9.68,
  cycles: 3,
  definition: 'half cycle',
  heights: { first: 40, next: 17.8 },
} as const;
const wide = { sapMmHg: 150, dapMmHg: 60, mapMmHg: 90 };
const measured = () =>
  new LineLog('20:00').add('zeroed', '20:05', {}).add('fastFlushTested', '20:05', {
    verdict: 'normal',
    strip: ringing,
    heartRatePerMin: 70,
  });

// Gardner RM, Anesthesiology 1981;54:227-236: an underdamped line reads the systolic too high, the mean hardly changes.
describe('a reading on a line that rings at its heart rate', () => {
  const log200 = measured().add('reading', '21:00', { ...wide, heartRatePerMin: 200 });
  const at200 = log200.state();
  const doubted =
    'doubtful: underdamped at 200 /min: systolic likely 17 mmHg too high (+16 to +18); go by the mean (90 mmHg)';

  it('says so, by how much, and what can still be used', () => {
    expect(trustWords(at200, policy)).toBe(doubted);
  });

  it('says the same on card, handover and in the answer to whoever told it, with the test at that rate', async () => {
    const words = trustWords(at200, policy);
    const card = await composed(post('card', '21:10', { lines: [at200.id] }), ward, [at200]);
    expect(card.text).toContain(`Reading 21:00: 150/60 (mean 90) mmHg, ${words}`);
    expect(card.text).toContain('Fast-flush test 20:05: underdamped at 200 /min (16.0 Hz, damping 0.25)');
    const handed = await handoverTexts([log200], ward, wall('21:10'), { names, forMs: wall('21:10') });
    expect(handed.patients).toContain(words);
    expect(readingFoundWords(at200, policy)).toContain(words.replace('doubtful', 'Doubtful'));
  });

  it('says the same to whoever calls a clinician', () => {
    const low = measured()
      .add('reading', '21:00', { sapMmHg: 120, dapMmHg: 40, mapMmHg: 55, heartRatePerMin: 200 })
      .state();
    expect(alarmWords(low, policy)).toMatch(
      /^mean 55 mmHg, below the ward’s 60 \(doubtful: underdamped at 200 \/min: .*; go by the mean \(55 mmHg\)\)$/,
    );
  });

  it('is trusted at a slow one, and says which rate was the test’s', () => {
    const slow = measured()
      .add('reading', '21:00', { sapMmHg: 110, dapMmHg: 70, heartRatePerMin: 80 })
      .state();
    expect(trustWords(slow, policy)).toBe('trusted');
    const fast = new LineLog('20:00')
      .add('zeroed', '20:05', {})
      .add('fastFlushTested', '20:05', { verdict: 'normal', strip: ringing, heartRatePerMin: 200 })
      .add('reading', '21:00', wide)
      .state();
    expect(trustWords(fast, policy)).toContain('underdamped at 200 /min (given with the test): ');
  });
});

describe('a test by eye', () => {
  const byEye = (heartRatePerMin?: number) =>
    new LineLog('20:00').inOrder('20:05').add('reading', '21:00', {
      ...wide,
      ...(heartRatePerMin === undefined ? {} : { heartRatePerMin }),
    });

  it('asks for a strip at a fast heart rate, on reading, test and card', async () => {
    const line = byEye(200).state();
    expect(trustWords(line, policy)).toBe(
      'doubtful: tested by eye, and at 200 /min a strip is needed; go by the mean (90 mmHg)',
    );
    const card = await composed(post('card', '21:10', { lines: [line.id] }), ward, [line]);
    expect(card.text).toContain('Fast-flush test 20:05: normal by eye, and at 200 /min a strip is needed');
  });

  it('says up to which heart rate a reading without one is trusted', () => {
    expect(trustWords(byEye().state(), policy)).toBe(
      'trusted up to 160 /min, above that only the mean: no heart rate given',
    );
    expect(trustWords(byEye(150).state(), policy)).toBe('trusted');
  });

  it('answers whoever tells it', () => {
    const told = (heartRatePerMin?: number) =>
      testFoundWords(
        new LineLog('20:00')
          .add('fastFlushTested', '20:05', {
            verdict: 'normal',
            ...(heartRatePerMin === undefined ? {} : { heartRatePerMin }),
          })
          .state(),
        policy,
      );
    expect(told(200)).toBe(
      'By eye: at 200 /min you need a strip before you can trust the systolic and diastolic. Until then go by the mean.',
    );
    expect(told()).toBe('By eye that is enough up to 160 /min; above that, measure a strip.');
    expect(told(120)).toBe('');
  });
});

describe('the answer to a measured test', () => {
  it('names the region that the error on the last pulse makes it, and never says it matters little', () => {
    const line = new LineLog('20:00')
      .add('reading', '20:04', wide)
      .add('fastFlushTested', '20:05', { verdict: 'normal', strip: ringing, heartRatePerMin: 110 })
      .state();
    const words = mrkdwn(testFoundWords(line, policy));
    expect(words).toMatch(/^\*Underdamped\* \(ward policy, approximate\)\. The systolic reads too high/);
    expect(words).toContain('systolic 8 too high (+7 to +9)');
    expect(words).toContain('Go by the mean.');
  });

  it('tells of an upload what it tells of paper', () => {
    const read = { naturalHz: 16, damping: 0.25 };
    const line = new LineLog('20:00')
      .add('reading', '20:04', { ...wide, heartRatePerMin: 200 })
      .add('fastFlushTested', '20:05', { verdict: 'normal', read })
      .state();
    expect(mrkdwn(testFoundWords(line, policy))).toMatch(
      /^\*Underdamped\*[\s\S]*systolic 17 too high, diastolic right mmHg[\s\S]*read from a strip\.$/,
    );
  });
});

describe('the mean', () => {
  it('is not the one reckoned from a systolic that is doubted, and waits for the zero', () => {
    const told = new LineLog('20:00')
      .add('fastFlushTested', '20:05', { verdict: 'overdamped' })
      .add('reading', '21:00', { sapMmHg: 100, dapMmHg: 60 });
    expect(trustWords(told.state(), policy)).toBe(
      'doubtful: not zeroed yet; overdamped: systolic reads too low; zero it, then go by the mean',
    );
    told.add('zeroed', '21:05', {}).add('reading', '21:10', { sapMmHg: 100, dapMmHg: 60 });
    expect(trustWords(told.state(), policy)).toBe(
      'doubtful: overdamped: systolic reads too low; go by the monitor’s mean (not given)',
    );
  });
});
