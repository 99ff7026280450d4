import { describe, expect, it } from 'vitest';
import { policyForm, readPolicyForm } from '../../../src/chat/forms/policy-form.ts';
import { numbersAsPolicy, numbersOf, policyNumbers } from '../../../src/chat/policy-numbers.ts';
import { defaultPolicy, wardPolicySchema } from '../../../src/domain/policy/ward-policy.ts';
import { newWard, type WardState } from '../../../src/domain/ward/ward-state.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { testWard, wall, wardZone } from '../../support/line-builder.ts';
import { clientObjections, filledForm, inputIds, refusalOf, shown, withoutEmpty } from './filled-form.ts';

const now = wall('02:40');
const plainWard = testWard({ rota: { day: 'U0DAY', night: 'U0NIGHT' }, clinicians: ['U0VET'] });
const read = (raw: Record<string, RawValue>, ward: WardState = plainWard) =>
  readPolicyForm(filledForm(shown(policyForm(ward, now)), raw));

describe('policyForm', () => {
  it('gives back the policy it shows when nothing is touched, however empty inputs are sent', () => {
    const view = shown(policyForm(plainWard, now));
    const form = filledForm(view);
    expect(clientObjections(view, form)).toEqual({});
    for (const sent of [form, withoutEmpty(form)]) {
      expect(readPolicyForm(sent)).toEqual({
        is: 'ok',
        wardId: plainWard.id,
        basedOn: 0,
        policy: plainWard.policy,
      });
    }
  });

  it('takes the cautions for which a clinician decides before placing, none of them too', () => {
    const told = (overrideFor: string[]) => read({ overrideFor });
    expect(told(['cat', 'broken skin'])).toMatchObject({ policy: { overrideFor: ['cat', 'broken skin'] } });
    expect(told([])).toMatchObject({ is: 'ok', policy: { overrideFor: [] } });
  });

  it('takes who hears of what and when, and says what to write where a time is none', () => {
    const told = read({
      dangerFor: ['redress'],
      waking: '6:30 to 21:00',
      questionsAt: '8:15',
      againFor: 'Cold: take it out\n\nno pulse: ring surgery',
      backup: 'U0BACK',
      'inCharge:1': 'U0NORA',
    });
    expect(told).toMatchObject({
      is: 'ok',
      policy: {
        dangerFor: ['redress'],
        waking: { from: '06:30', to: '21:00' },
        questionsAt: '08:15',
        againFor: { cold: 'take it out', noPulse: 'ring surgery' },
        backup: 'U0BACK',
        inCharge: { night: 'U0NORA' },
      },
    });
    expect(read({ waking: 'by day', questionsAt: '25:00', againFor: 'cold' })).toEqual({
      is: 'wrong',
      errors: {
        againFor: 'What does your ward do when cold comes back? Say it behind a colon.',
        waking: 'From when to when? Write two times of day, for example 07:00-22:00.',
        questionsAt: '“25:00” isn’t a time of day. Write one, for example 09:00.',
      },
    });
  });

  it('is one the platform shows with four shifts and the longest names', () => {
    const shifts = ['06:00', '12:00', '18:00', '23:00'].map((startsAt, index) => ({
      name: `${index}${'&'.repeat(23)}`,
      startsAt,
    }));
    const ward = testWard({
      shifts: { zone: wardZone, shifts } as never,
      clinicians: Array.from({ length: 50 }, (_, index) => `U0${index}`),
    });
    expect(refusalOf(shown(policyForm(ward, now)))).toBeNull();
  });

  it('puts flushing, site and dwell before everything else', () => {
    expect(inputIds(shown(policyForm(plainWard, now))).slice(0, 8)).toEqual([
      'flushEveryMin',
      'siteCheckEveryH',
      'siteCheckCloseEveryH',
      'catDwellWarningH',
      'catDwellLimitH',
      'stillNeededEveryH',
      'stillNeededSoonEveryH',
      'redressEveryH',
    ]);
  });

  it('says who set the present policy and when, or that nobody did', () => {
    expect(JSON.stringify(shown(policyForm(plainWard, now)))).toContain(
      'Nobody has set this ward’s policy yet',
    );
    const set = { ...plainWard, policySet: { at: wall('20:15'), by: 'U0VET' } };
    expect(JSON.stringify(shown(policyForm(set, now)))).toContain('Set by <@U0VET>, Tue 24 Nov 20:15.');
  });

  it('names what is published beside a cat’s dwell', () => {
    expect(JSON.stringify(shown(policyForm(plainWard, now)))).toContain('van den Herik & Gommeren');
  });
});

describe('policyNumbers', () => {
  const policy = defaultPolicy(wardZone);
  const withNumber = (id: string, value: number) => ({
    ...policy,
    ...numbersAsPolicy({ ...numbersOf(policy), [id]: value }),
  });
  const complains = (id: string, value: number) =>
    (wardPolicySchema.safeParse(withNumber(id, value)).error?.issues ?? []).some(
      // Bounds that two numbers set for each other are the schema's own words, not this number's range.
      ({ path, code }) => path.join('.') === id && code !== 'custom',
    );

  it('asks every number the policy has', () => {
    const leaves = Object.entries(policy).flatMap(([key, value]) =>
      typeof value === 'number'
        ? [key]
        : key.endsWith('raceMin')
          ? Object.keys(value as object).map((step) => `${key}.${step}`)
          : [],
    );
    expect(new Set([...policyNumbers.map(({ id }) => id), 'redressEveryH'])).toEqual(new Set(leaves));
  });

  it.each(policyNumbers)('bounds $id as the policy’s schema does: $min to $max', ({ id, min, max }) => {
    expect([min, max].map((value) => complains(id, value))).toEqual([false, false]);
    expect([min - 0.5, max + 0.5].map((value) => complains(id, value))).toEqual([true, true]);
  });
});

describe('readPolicyForm', () => {
  it.each<[Record<string, RawValue>, Record<string, string>]>([
    [
      { flushEveryMin: '5' },
      { flushEveryMin: 'Manual flush every: 5 min cannot be right. Give a whole number from 15 to 360 min.' },
    ],
    [
      { flushEveryMin: '30.5' },
      {
        flushEveryMin:
          'Manual flush every: 30.5 min cannot be right. Give a whole number from 15 to 360 min.',
      },
    ],
    [
      { flushEveryMin: 'hourly' },
      { flushEveryMin: '“hourly” cannot be right. Give a whole number from 15 to 360 min.' },
    ],
    [
      { flushEveryMin: null },
      { flushEveryMin: 'Manual flush every is needed. Give a whole number from 15 to 360 min.' },
    ],
    [
      { catDwellLimitH: '6' },
      {
        catDwellLimitH:
          'The limit (6 h) must come after the warning (6 h). Give a longer limit or an earlier warning.',
      },
    ],
    [
      { 'flushGraceMin.clinician': '10' },
      {
        'flushGraceMin.clinician':
          'The clinician must be told later than the nurse. Give the clinician more minutes.',
      },
    ],
    [
      { 'graceMin.clinician': '15' },
      {
        'graceMin.clinician':
          'The clinician must be told later than the nurse. Give the clinician more minutes.',
      },
    ],
    [
      { zone: 'Berlin' },
      {
        zone: '“Berlin” isn’t a time zone. Type a place as Area/City, for example Europe/Berlin or America/New_York.',
      },
    ],
    [
      { shifts: 'day' },
      { shifts: '“day” needs a name and a start time. Write it like this: Day 07:00, Night 19:00.' },
    ],
    [
      { shifts: null },
      { shifts: 'No shift was given. Write name and start, for example Day 07:00, Night 19:00.' },
    ],
    [
      { shifts: 'day 07:00, night 07:00' },
      {
        shifts:
          'day and night both start at 07:00. Give each shift its own start, for example Day 07:00 and Night 19:00.',
      },
    ],
    [
      { shifts: 'day 27:00' },
      { shifts: '“27:00” isn’t a time of day. Type it as HH:mm, from 00:00 to 23:59, for example 07:00.' },
    ],
  ])('says of %j what is wrong, by block', (raw, errors) => {
    expect(read(raw)).toEqual({ is: 'wrong', errors });
    expect(inputIds(shown(policyForm(plainWard, now)))).toEqual(expect.arrayContaining(Object.keys(errors)));
  });

  it.each<[string, object, object]>([
    ['Night 19:00, Day 7:00', { Night: 'U0NIGHT', Day: 'U0DAY' }, {}],
    ['early 07:00, night 19:00', { early: 'U0DAY', night: 'U0NIGHT' }, {}],
    ['night 19:00', { night: 'U0NIGHT' }, {}],
    ['early 06:00; late 14:00\nnight 22:00', { early: 'U0DAY', night: 'U0NIGHT' }, {}],
  ])('keeps each clinician with the shift of the name when shifts become %j', (shifts, rota) => {
    // Typed text has its line breaks made into blanks by the client's single-line input; a pasted one may not.
    expect(read({ shifts })).toMatchObject({ is: 'ok', policy: { rota } });
    const told = read({ shifts });
    expect('policy' in told ? told.policy.rota : null).toEqual(rota);
  });

  it('takes a number, a clinician and a zone', () => {
    expect(
      read({
        flushEveryMin: '30',
        clinicians: ['U0A', 'U0B'],
        zone: ' America/New_York ',
        redressEveryH: '24',
      }),
    ).toMatchObject({
      is: 'ok',
      policy: {
        flushEveryMin: 30,
        clinicians: ['U0A', 'U0B'],
        redressEveryH: 24,
        shifts: { zone: 'America/New_York' },
      },
    });
  });

  it('carries the number of the policy it was made from', () => {
    expect(read({}, { ...newWard('T0TEST.C0WARD', plainWard.policy), policyVersion: 7 })).toMatchObject({
      basedOn: 7,
    });
  });
});
