import { describe, expect, it } from 'vitest';
import { againForText, againForTyped, policyFromWords } from '../../../src/chat/typed/policy-words.ts';
import { mayBeDanger } from '../../../src/domain/policy/usual-urgency.ts';
import { defaultPolicy, wardPolicySchema } from '../../../src/domain/policy/ward-policy.ts';

const before = { ...defaultPolicy('UTC'), dangerFor: ['site' as const] };
const typed = (words: string, policy: Parameters<typeof policyFromWords>[1] = before) =>
  policyFromWords(words, policy, '/artline');

describe('how urgent a duty is, typed', () => {
  it.each([
    ['zero danger', ['zero', 'site'], /^Late zero wakes the clinician as soon as it’s due, at any hour\.$/],
    [
      'Zero, dressing and run out: danger',
      ['runOut', 'zero', 'site', 'redress'],
      /^Late zero, redress, run out wakes/,
    ],
    ['site is care.', [], /^Late site is care: nurses first, a clinician in waking hours\.$/],
    ['check care', [], /^Late site is care/],
  ])('%s', (words, dangerFor, says) => {
    const read = typed(words);
    if (read.is !== 'changed') throw new Error(read.message);
    expect(read.policy.dangerFor.toSorted()).toEqual(dangerFor.toSorted());
    expect({ ...read.policy, dangerFor: before.dangerFor }).toEqual(before);
    expect(read.says).toMatch(says);
  });

  it('has a name for each kind whose urgency a ward sets', () => {
    const list = typed('nonsense danger');
    const names = /There are: (.*?)\. A finding/
      .exec(list.is === 'wrong' ? list.message : '')?.[1]
      ?.split(', ');
    expect(names).toHaveLength(mayBeDanger.length);
    const each = names?.map((name) => {
      const read = typed(`${name} danger`, { ...before, dangerFor: [] });
      return read.is === 'changed' ? read.policy.dangerFor[0] : read.message;
    });
    expect(each).toEqual(mayBeDanger);
  });

  it.each(['zero', 'flush every 30', 'finding danger', 'zero, hold danger', 'danger', ''])(
    'refuses “%s”, with what to type instead',
    (words) => {
      const read = typed(words);
      expect(read.is).toBe('wrong');
      expect(read.is === 'wrong' && read.message).toMatch(/policy zero danger|There are: /);
    },
  );
});

describe('what to do when a finding comes back, typed', () => {
  it('is the ward’s own words, taken back by “usual”', () => {
    const read = typed('again Cold: take it out, ring the surgeon');
    if (read.is !== 'changed') throw new Error(read.message);
    expect(read.policy.againFor).toEqual({ cold: 'take it out, ring the surgeon' });
    expect(wardPolicySchema.parse(read.policy)).toEqual(read.policy);
    const back = typed('again cold: usual', read.policy);
    expect(back.is === 'changed' && back.policy.againFor).toEqual({});
  });

  it('is read back from a form as it was shown, a line for each', () => {
    const againFor = { noPulse: 'take it out: now', ooze: 'press 5 min' };
    expect(againForText(againFor)).toBe('no pulse: take it out: now\nooze: press 5 min');
    expect(againForTyped(`${againForText(againFor)}\n\n`)).toEqual({ againFor });
  });

  it.each([
    ['again limp: look', /“limp” is no finding I know.*no pulse, cold, swelling, ooze or pain/],
    ['again cold', /What does your ward do when cold comes back\?/],
    [`again cold: ${'x'.repeat(81)}`, /is 81 characters; a handover has room for 80/],
  ])('refuses “%s”', (words, message) => {
    const read = typed(words);
    expect(read.is === 'wrong' && read.message).toMatch(message);
  });
});
