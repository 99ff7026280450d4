import { describe, expect, it } from 'vitest';
import { dutyKinds } from '../../../src/domain/duty-kind.ts';
import {
  defaultPolicy,
  graceOf,
  laterMinOf,
  type WardPolicy,
  wardPolicySchema,
} from '../../../src/domain/policy/ward-policy.ts';
import { wardZone } from '../../support/line-builder.ts';

const policy = defaultPolicy(wardZone);
const parses = (changes: object) => wardPolicySchema.safeParse({ ...policy, ...changes });
const problems = (changes: object) => (parses(changes).error?.issues ?? []).map(({ path }) => path.join('.'));

describe('the default policy', () => {
  it('is one the ward may have', () => {
    expect(wardPolicySchema.parse(policy)).toEqual(policy);
  });

  it('lets a clinician decide on a bleeding disorder and a limb without pulse, also where it was set before that was asked', () => {
    const { overrideFor: _, ...before } = policy;
    expect(wardPolicySchema.parse(before).overrideFor).toEqual([
      'bleeding disorder',
      'no pulse or collateral flow',
    ]);
  });

  /** What is published for each of these, or that nothing is, stands in docs/defaults.md. */
  it('has the numbers the ward begins with', () => {
    expect(policy).toMatchObject({
      flushEveryMin: 60,
      redressEveryH: 12,
      siteCheckEveryH: 4,
      siteCheckCloseEveryH: 2,
      catDwellWarningH: 6,
      catDwellLimitH: 8,
      stillNeededEveryH: 24,
      stillNeededSoonEveryH: 12,
      awayAskAfterH: 4,
      setEveryH: 96,
      holdMin: 5,
      holdBleedingMin: 10,
      pulseFirstH: 1,
      pulseNextDayH: 24,
      runOutMarginMin: 30,
      sourcePressureMmHg: 300,
      driftLimitMmHg: 3,
      bloodWarnPercent: 5,
      flushGraceMin: { nurse: 10, clinician: 20 },
      graceMin: { nurse: 15, clinician: 30 },
      repeatMin: 30,
      claimMin: 30,
      roundMin: 10,
      nudgeGapMin: 5,
      handoverBeforeMin: 15,
      handoverAcceptMin: 30,
    });
  });

  it('gives flushes the shorter graces and nothing else', () => {
    for (const kind of dutyKinds) {
      expect(graceOf(policy, kind)).toEqual(
        kind === 'flush' ? { nurse: 10, clinician: 20 } : { nurse: 15, clinician: 30 },
      );
    }
  });

  it('lets neither a finding, a fault left, dwell nor the end of a hold be put off', () => {
    expect(dutyKinds.filter((kind) => laterMinOf(policy, kind) === 0)).toEqual([
      'finding',
      'fault',
      'dwellLimit',
      'dwellWarning',
      'hold',
    ]);
  });
});

describe('a ward’s own policy', () => {
  it.each<[string, Partial<Record<keyof WardPolicy, unknown>>, string]>([
    ['redressing less than once a day', { redressEveryH: 36 }, 'redressEveryH'],
    // 96 h: CDC 2011 (O’Grady et al.), from memory.
    ['a set used longer than 96 h', { setEveryH: 97 }, 'setEveryH'],
    // 24 h at most in cats: feline emergency text, van den Herik & Gommeren.
    ['a cat’s limit beyond 24 h', { catDwellLimitH: 25 }, 'catDwellLimitH'],
    ['a cat’s limit before its warning', { catDwellWarningH: 9 }, 'catDwellLimitH'],
    ['flushing every 7 h', { flushEveryMin: 420 }, 'flushEveryMin'],
    ['flushing never', { flushEveryMin: 0 }, 'flushEveryMin'],
    [
      'telling the clinician of a flush before the nurse',
      { flushGraceMin: { nurse: 20, clinician: 20 } },
      'flushGraceMin',
    ],
    [
      'telling the clinician of others before the nurse',
      { graceMin: { nurse: 30, clinician: 15 } },
      'graceMin',
    ],
    ['holding a bleeding animal for less long', { holdBleedingMin: 4 }, 'holdBleedingMin'],
    ['a bag above 350 mmHg', { sourcePressureMmHg: 400 }, 'sourcePressureMmHg'],
    ['half minutes', { flushEveryMin: 60.5 }, 'flushEveryMin'],
  ])('cannot mean %s', (_title, changes, field) => {
    expect(problems(changes)).toEqual([field]);
  });

  it('may be stricter everywhere', () => {
    const strict = {
      flushEveryMin: 30,
      siteCheckEveryH: 1,
      catDwellWarningH: 4,
      catDwellLimitH: 6,
      setEveryH: 72,
      redressEveryH: 12,
    };
    expect(parses(strict).success).toBe(true);
  });
});
