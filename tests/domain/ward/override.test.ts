import { describe, expect, it } from 'vitest';
import { cautionsToDecide, overrideFault, screeningAmended } from '../../../src/domain/ward/override.ts';
import { testWard, wall } from '../../support/line-builder.ts';

const now = wall('21:00');
const ward = testWard({ clinicians: ['ada'] });
const by = (clinician: string) => ({ clinician, at: now, reason: 'on vasopressors' });

describe('a decision to place a line in spite of a caution', () => {
  it('is wanted for a bleeding disorder and a limb without pulse unless the ward says otherwise (common practice, no source)', () => {
    const all = ['bleeding disorder', 'clotting unknown', 'walking patient', 'cat', 'broken skin'] as const;
    expect(cautionsToDecide(ward.policy, [...all, 'no pulse or collateral flow'])).toEqual([
      'bleeding disorder',
      'no pulse or collateral flow',
    ]);
    expect(cautionsToDecide({ ...ward.policy, overrideFor: ['cat'] }, all)).toEqual(['cat']);
    expect(cautionsToDecide({ ...ward.policy, overrideFor: [] }, all)).toEqual([]);
  });

  it.each([
    ['none is needed where no caution asks for one', { cautions: ['cat' as const] }, null],
    ['one is needed', { cautions: ['bleeding disorder' as const] }, 'needed'],
    [
      'whoever is on call may give it',
      { cautions: ['bleeding disorder' as const], override: by('vet') },
      null,
    ],
    [
      'a clinician of the policy may',
      { cautions: ['bleeding disorder' as const], override: by('ada') },
      null,
    ],
    ['a nurse may not', { cautions: ['bleeding disorder' as const], override: by('nina') }, 'not theirs'],
    ['nor where none was asked for', { cautions: [], override: by('nina') }, 'not theirs'],
  ])('%s', (_, screening, fault) => {
    expect(overrideFault(ward, { ...screening, cautions: [...screening.cautions] }, now)).toBe(fault);
  });
});

describe('cautions that are put right', () => {
  const { policy } = ward;
  const override = by('vet');
  const decided = { cautions: ['bleeding disorder', 'cat'] as const, override };
  const amended = (
    found: Parameters<typeof screeningAmended>[2],
    undecided?: 'cat'[],
    decision?: typeof override,
  ) =>
    screeningAmended(
      { ...policy, overrideFor: ['bleeding disorder', 'cat', 'broken skin'] },
      { ...decided, cautions: [...decided.cautions], ...(undecided ? { undecided } : {}) },
      found,
      decision,
    );

  it('keep the decision while any that it was given on is left', () => {
    expect(amended(['cat'])).toEqual({ cautions: ['cat'], override });
    expect(amended(['broken skin'])).toEqual({ cautions: ['broken skin'], undecided: ['broken skin'] });
    expect(amended([])).toEqual({ cautions: [] });
  });

  it('leave open what nobody decided on, then and now', () => {
    expect(amended(['cat', 'broken skin'])).toEqual({
      cautions: ['cat', 'broken skin'],
      override,
      undecided: ['broken skin'],
    });
    // Of the cat nobody had decided, so nothing of the decision is left.
    expect(amended(['cat'], ['cat'])).toEqual({ cautions: ['cat'], undecided: ['cat'] });
    expect(amended(['bleeding disorder', 'cat'], ['cat'])).toMatchObject({ override, undecided: ['cat'] });
  });

  it('are all decided on by a new decision', () => {
    const anew = by('ada');
    expect(amended(['broken skin'], undefined, anew)).toEqual({ cautions: ['broken skin'], override: anew });
  });

  it('of a line that was never screened are decided by nobody', () => {
    expect(screeningAmended(policy, null, ['bleeding disorder'])).toEqual({
      cautions: ['bleeding disorder'],
      undecided: ['bleeding disorder'],
    });
    expect(screeningAmended(policy, { cautions: ['cat'] }, ['cat'])).toEqual({ cautions: ['cat'] });
  });
});
