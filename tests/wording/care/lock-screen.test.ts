import { describe, expect, it } from 'vitest';
import { type DutyKind, dutyKinds } from '../../../src/domain/duty-kind.ts';
import { mrkdwn } from '../../../src/slack/render/mrkdwn.ts';
import {
  type Heard,
  type LateLine,
  lockScreenMax,
  lockScreenText,
} from '../../../src/wording/care/lock-screen.ts';
import { person } from '../../../src/wording/rich-text.ts';
import { LineLog, type PlacedChanges, testWard, wall } from '../../support/line-builder.ts';
import { assert, constantFrom, integer, property, string, subarray } from '../../support/properties.ts';

const { policy } = testWard();
const nina: Heard = { who: 'Nina Vale', at: wall('21:10'), did: 'asked' };
const finding = (log: LineLog) => log.add('siteChecked', '21:00', { finding: { cold: true, noPulse: true } });
const left = (log: LineLog) =>
  log
    .add('faultOpened', '20:50', { sign: 'flat' })
    .add('faultClosed', '21:00', { resolved: false, sign: 'flat', byPath: true });

function late(
  kind: DutyKind,
  dueAt: string,
  {
    patient = {},
    heard = nina,
    id = 'line-1',
  }: { patient?: PlacedChanges['patient']; heard?: Heard; id?: string } = {},
): LateLine {
  const cats = kind.startsWith('dwell') ? { name: 'Mochi', species: 'cat' as const, weightKg: 4 } : {};
  const log = new LineLog('19:00', { patient: { ...cats, ...patient } }, id);
  if (kind === 'finding') finding(log);
  if (kind === 'fault') left(log);
  return { line: log.state(), duties: [{ kind, dueAt: wall(dueAt) }], heard };
}

const text = (...lines: LateLine[]) => lockScreenText(lines, policy, wall('21:20'));

describe('what a clinician reads on a locked phone', () => {
  it.each<[DutyKind, string, Heard, string]>([
    [
      'finding',
      '21:00',
      { who: 'Nina Vale', at: wall('21:00'), did: 'saw it' },
      'BISCUIT dog: no pulse below, cold hind foot, limb at risk. Nina Vale saw it 21:00. Call the ward or take it.',
    ],
    [
      'fault',
      '21:00',
      { who: 'Nina Vale', at: wall('21:00'), did: 'left it' },
      'BISCUIT dog: fault not solved (flat), may clot. Nina Vale left it 21:00. Call the ward or take it.',
    ],
    [
      'faultOpen',
      '21:05',
      nina,
      'BISCUIT dog: fault left half way 15 min late, may clot. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'dwellLimit',
      '21:00',
      { who: null, at: wall('21:00'), did: 'asked' },
      'MOCHI cat: dwell limit passed 20 min ago, limb at risk. Asked the ward 21:00. Call the ward or decide.',
    ],
    [
      'dwellWarning',
      '01:00',
      nina,
      'MOCHI cat: dwell limit at 03:00, limb at risk. Asked Nina Vale 21:10. Call the ward or decide.',
    ],
    [
      'hold',
      '21:15',
      nina,
      'BISCUIT dog: look at the puncture 5 min late, may bleed. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'flush',
      '21:00',
      nina,
      'BISCUIT dog: flush 20 min late, may clot. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'runOut',
      '21:00',
      nina,
      'BISCUIT dog: new flush source 20 min late, may clot. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'zero',
      '20:50',
      nina,
      'BISCUIT dog: zero and level 30 min late, may read wrong. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'test',
      '20:50',
      nina,
      'BISCUIT dog: fast-flush test 30 min late, may read wrong. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'source',
      '20:00',
      nina,
      'BISCUIT dog: flush source check 1 h 20 min late, may clot. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'site',
      '20:50',
      { who: 'Nina Vale', at: wall('21:10'), did: 'could not' },
      'BISCUIT dog: site and limb check 30 min late, limb at risk. Nina Vale couldn’t, 21:10. Call the ward or take it.',
    ],
    [
      'pulse',
      '20:50',
      nina,
      'BISCUIT dog: pulse check 30 min late, limb at risk. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'pulseNextDay',
      '20:50',
      nina,
      'BISCUIT dog: next-day pulse check 30 min late, limb at risk. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
    [
      'redress',
      '20:50',
      { who: 'Nina Vale', at: null, did: 'has it' },
      'BISCUIT dog: redress 30 min late, infection risk. With Nina Vale. Call the ward or take it.',
    ],
    [
      'stillNeeded',
      '20:50',
      nina,
      'BISCUIT dog: “still needed?” 30 min late, needless risk. Asked Nina Vale 21:10. Call the ward or answer.',
    ],
    [
      'set',
      '20:50',
      nina,
      'BISCUIT dog: new transducer set 30 min late, infection risk. Asked Nina Vale 21:10. Call the ward or take it.',
    ],
  ])('says of %s all that decides whether to get up', (kind, dueAt, heard, words) => {
    expect(text(late(kind, dueAt, { heard }))).toBe(words);
    expect(words.length).toBeLessThanOrEqual(120);
  });

  it('tells the worst of several lines and names the others', () => {
    const others = ['Juno', 'Otto'].map((name) => late('flush', '21:00', { patient: { name }, id: name }));
    expect(text(late('finding', '21:00'), ...others)).toBe(
      'BISCUIT dog: no pulse below, cold hind foot, limb at risk. Asked Nina 21:10. +2: Juno, Otto. Call the ward or take it.',
    );
    expect(text(late('flush', '21:00'), ...others)).toBe(
      'BISCUIT dog: flush 20 min late, may clot. Asked Nina Vale 21:10. +2: Juno, Otto. Call the ward or take it.',
    );
  });

  it('counts what else is late of the line, and names its second line by where it is', () => {
    const first = late('flush', '21:00');
    const two = { ...first, duties: [...first.duties, { kind: 'zero' as const, dueAt: wall('20:00') }] };
    expect(text(two)).toBe(
      'BISCUIT dog: flush 20 min late and 1 more duty, may clot. Asked Nina Vale 21:10. Call the ward or take it.',
    );
    expect(text(first, late('site', '20:50', { id: 'line-2' }))).toContain('+1: left dorsal pedal. Call');
  });

  it('says of a pressure how far it is, and whether it is doubtful', () => {
    const log = new LineLog('19:00').add('reading', '21:10', { sapMmHg: 85, dapMmHg: 38, mapMmHg: 52 });
    const heard: Heard = { who: 'Nina Vale', at: wall('21:10'), did: 'saw it' };
    const one = { line: log.state(), duties: [{ kind: 'finding' as const, dueAt: wall('21:10') }], heard };
    expect(text(one)).toBe(
      'BISCUIT dog: mean 52 mmHg (doubtful), organs at risk. Nina Vale saw it 21:10. Call the ward or take it.',
    );
  });
});

describe('a name that is long', () => {
  const long = (name: string, heard = nina) => text(late('site', '20:50', { patient: { name }, heard }));

  it('is cut at the end of a word', () => {
    expect(long('Sir Wellington of the Northern Marshes')).toBe(
      'SIR WELLINGTON OF THE… dog: site and limb check 30 min late, limb at risk. Asked Nina 21:10. Call the ward or take it.',
    );
  });

  it('is cut within its only word, whole letters kept', () => {
    expect(long('Wilhelmina-von-Hohenstaufen-Württemberg')).toContain('WILHELM… dog: ');
    expect(long('👩‍👩‍👧'.repeat(5))).toMatch(/^(?:👩‍👩‍👧)+…? dog: /u);
  });

  it('takes a given name for a whole one, past the title', () => {
    const who = { ...nina, who: 'Dr Aleksandra Wojciechowska-Nowakowska' };
    expect(long('Biscuit', who)).toContain('Asked Aleksandra 21:10.');
  });

  it('is safe in mrkdwn, and a mention calls nobody', () => {
    expect(mrkdwn(long('<!here> & co'))).toMatch(/^&lt;!HERE&gt; &amp; CO dog: /);
    expect(long('Biscuit', { ...nina, who: person('U0INA') })).toContain('Asked the nurse 21:10.');
  });

  it('names the ward where the clinician may have another with a patient of that name', () => {
    const said = (ward: string, animal = 'Biscuit') =>
      lockScreenText([late('flush', '21:00', { patient: { name: animal } })], policy, wall('21:20'), ward);
    expect(said('#cat-icu')).toBe(
      'BISCUIT dog: flush 20 min late, may clot. Asked Nina Vale 21:10. Call #cat-icu or take it.',
    );
    const long = ['#critical-care-unit-dogs', '#critical-care-unit-cats'].map((ward) =>
      said(ward, 'Sir Wellington of the Meadows'),
    );
    expect(long[0]).not.toBe(long[1]);
    for (const one of long) expect(one.length).toBeLessThanOrEqual(lockScreenMax);
  });

  // Whatever the names, the duty, the lateness and the number of lines.
  it('never pushes out the ask, the duty, its lateness or the risk', () => {
    const name = string({ minLength: 1, maxLength: 40, unit: 'grapheme' }).map(
      (drawn) => drawn.trim().slice(0, 40) || 'W'.repeat(40),
    );
    const words = constantFrom('W'.repeat(40), 'Augusta Wilhelmina', `${'W'.repeat(12)} ${'M'.repeat(27)}`);
    assert(
      property(
        constantFrom(...dutyKinds),
        name,
        words,
        words,
        integer({ min: 0, max: 4000 }),
        subarray(['Juno', 'Otto', 'W'.repeat(40), 'Miso', 'Zed', 'Nox', 'Rex', 'Ivo', 'Lux', 'Pim', 'Kit'], {
          minLength: 0,
        }),
        constantFrom<Heard['did']>('asked', 'could not', 'saw it', 'left it', 'has it'),
        constantFrom(null, '#icu', `#${'w'.repeat(79)}`),
        (kind, drawn, animal, who, lateMin, others, did, ward) => {
          for (const patientName of [drawn, animal]) {
            const patient = {
              name: patientName,
              species: 'other',
              speciesName: animal.slice(0, 30),
            } as const;
            const heard = { who, at: wall('21:10'), did };
            const worst = late(kind, '21:00', {
              patient: kind.startsWith('dwell') ? { name: patientName } : patient,
              heard,
            });
            const first = { ...worst, duties: [...worst.duties, ...worst.duties, ...worst.duties] };
            const rest = others.map((other) =>
              late('flush', '21:00', { patient: { name: other }, id: other }),
            );
            const said = lockScreenText([first, ...rest], policy, wall('21:00') + lateMin * 60_000, ward);
            expect(said.length).toBeLessThanOrEqual(lockScreenMax);
            expect(said).toMatch(/Call (?:the ward|#\S+) or (?:take it|decide|answer)\.$/);
            expect(said).toMatch(/risk|may /);
            expect(said).toContain(others.length > 0 ? `+${others.length}` : '');
            const lateness = ['finding', 'fault'].includes(kind)
              ? /: /
              : / late|due now|reached now|passed .* ago|dwell limit at/;
            expect(said).toMatch(lateness);
          }
        },
      ),
      { numRuns: 300 },
    );
  });
});
