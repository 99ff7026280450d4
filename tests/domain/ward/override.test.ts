import { describe, expect, it } from 'vitest';
import { cautionsToDecide, overrideFault } from '../../../src/domain/ward/override.ts';
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
