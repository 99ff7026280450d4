import { describe, expect, it } from 'vitest';
import { cannotForm, readCannotForm } from '../../../src/chat/forms/cannot-form.ts';
import type { OfferedDuty } from '../../../src/chat/forms/duty-choice.ts';
import { earlierForm, readEarlierForm } from '../../../src/chat/forms/earlier-form.ts';
import { letGoForm, readLetGoForm } from '../../../src/chat/forms/let-go-form.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { hour, wall, wardZone } from '../../support/line-builder.ts';
import { filledForm, hostileNames, inputIds, refusalOf, shown } from './filled-form.ts';

const ward = { now: wall('02:40'), zone: wardZone };
const wardId = 'T0TEST.C0WARD';
const flush: OfferedDuty = {
  asked: { lineId: 'line-1', kind: 'flush', dueAt: wall('02:10') },
  text: 'Biscuit: flush, due 02:10',
};
const site: OfferedDuty = {
  asked: { lineId: 'line-1', kind: 'site', dueAt: wall('02:15') },
  text: 'Biscuit: site and limb check, due 02:15',
};
const many = Array.from(
  { length: 200 },
  (_, index): OfferedDuty => ({
    asked: { lineId: `line-${index}`, kind: 'stillNeeded', dueAt: ward.now },
    text: hostileNames[index % hostileNames.length]?.repeat(5) ?? '',
  }),
);

describe('the forms about duties', () => {
  it.each([
    ['one duty', [flush]],
    ['two duties', [flush, site]],
    ['eleven duties', many.slice(0, 11)],
    ['200 duties with hostile names', many],
  ])('are ones the platform shows for %s', (_, duties) => {
    const [duty = flush] = duties;
    expect(refusalOf(shown(cannotForm({ wardId, duties, onCall: 'U0VET', by: 'U0INA' })))).toBeNull();
    expect(refusalOf(shown(cannotForm({ wardId, duties, onCall: null, by: 'U0INA' })))).toBeNull();
    expect(refusalOf(shown(earlierForm({ wardId, duties, ...ward })))).toBeNull();
    expect(refusalOf(shown(letGoForm({ wardId, duty, ...ward })))).toBeNull();
  });

  it('say how many duties did not fit', () => {
    const form = shown(earlierForm({ wardId, duties: many, ...ward }));
    const told = readEarlierForm(filledForm(form), ward);
    const fitted = 'asked' in told ? told.asked.length : 0;
    expect(fitted).toBeGreaterThan(20);
    expect(JSON.stringify(form.blocks)).toContain(`${200 - fitted} more didn’t fit`);
  });
});

describe('readCannotForm', () => {
  const read = (duties: OfferedDuty[], raw: Record<string, RawValue>) =>
    readCannotForm(filledForm(shown(cannotForm({ wardId, duties, onCall: 'U0VET', by: 'U0INA' })), raw));

  it('gives back which duties cannot be done and why', () => {
    expect(read([flush], { reason: ' will\nnot flush ' })).toEqual({
      is: 'ok',
      wardId,
      asked: [flush.asked],
      reason: 'will not flush',
    });
    expect(read([flush, site], { reason: 'in theatre' })).toMatchObject({ asked: [flush.asked, site.asked] });
    expect(read([flush, site], { reason: 'in theatre', duties: ['1'] })).toMatchObject({
      asked: [site.asked],
    });
  });

  it.each<[Record<string, RawValue>, object]>([
    [{ reason: null }, { reason: 'Write why, in 3 characters or more, for example “line will not flush”.' }],
    [
      { reason: '\u202E..' },
      { reason: 'Write why, in 3 characters or more, for example “line will not flush”.' },
    ],
    [{ reason: 'x'.repeat(301) }, { reason: '301 characters; the most is 300. Shorten it.' }],
    [{ reason: 'in theatre', duties: [] }, { duties: 'Nothing is ticked. Tick what cannot be done.' }],
  ])('says of %j what is wrong', (raw, errors) => {
    expect(read([flush, site], raw)).toEqual({ is: 'wrong', errors });
  });

  it('says to whom the reason goes', () => {
    const text = (onCall: string | null) =>
      JSON.stringify(shown(cannotForm({ wardId, duties: [flush], onCall, by: 'U0INA' })));
    expect(text('U0VET')).toContain('goes to the clinician on call, <@U0VET>, at once');
    expect(text('U0VET')).toContain('Tell the clinician');
    expect(text(null)).toContain('Nobody is on call on this ward');
    expect(text('U0INA')).toContain('goes to your backup and the ward channel at once');
    expect(text('U0INA')).toContain('Tell the ward');
  });

  it('calls a form stale that carries no duty', () => {
    const form = filledForm(shown(cannotForm({ wardId, duties: [flush], onCall: null, by: 'U0INA' })), {
      reason: 'in theatre',
    });
    expect(readCannotForm({ ...form, meta: JSON.stringify({ ward: wardId, duties: [] }) })).toEqual({
      is: 'stale',
    });
  });
});

describe('readEarlierForm', () => {
  const read = (duties: OfferedDuty[], raw: Record<string, RawValue> = {}) =>
    readEarlierForm(filledForm(shown(earlierForm({ wardId, duties, ...ward })), raw), ward);

  it('takes one duty as done ten minutes ago unless told otherwise', () => {
    expect(read([flush])).toEqual({ is: 'ok', wardId, asked: [flush.asked], at: wall('02:30') });
    expect(read([flush], { when: '60' })).toMatchObject({ at: wall('01:40') });
    expect(read([flush], { whenAt: wall('02:05') / 1000 })).toMatchObject({ at: wall('02:05') });
  });

  it('takes several as done now, so that some of a round can be ticked off', () => {
    expect(inputIds(shown(earlierForm({ wardId, duties: [flush, site], ...ward })))).toEqual([
      'duties',
      'when',
      'whenAt',
    ]);
    expect(read([flush, site], { duties: ['0'] })).toEqual({
      is: 'ok',
      wardId,
      asked: [flush.asked],
      at: ward.now,
    });
  });

  it('refuses a time to come and an empty round', () => {
    expect(read([flush, site], { duties: [], whenAt: wall('02:50') / 1000 })).toEqual({
      is: 'wrong',
      errors: {
        duties: 'Nothing is ticked. Tick what was done.',
        whenAt:
          'Wed 25 Nov 02:50 is still to come; the ward’s clock shows Wed 25 Nov 02:40. Give a time in the past.',
      },
    });
  });
});

describe('readLetGoForm', () => {
  const dwell: OfferedDuty = {
    asked: { lineId: 'line-1', kind: 'dwellLimit', dueAt: wall('02:00') },
    text: 'Biscuit: dwell limit, due 02:00',
  };
  const read = (raw: Record<string, RawValue>) =>
    readLetGoForm(filledForm(shown(letGoForm({ wardId, duty: dwell, ...ward })), raw), ward);

  it('gives back the duty, the reason and the end of the decision', () => {
    expect(read({ reason: 'theatre at 06:00' })).toEqual({
      is: 'ok',
      wardId,
      asked: dwell.asked,
      reason: 'theatre at 06:00',
      until: ward.now + 2 * hour,
    });
    expect(read({ reason: 'theatre at 06:00', for: '8' })).toMatchObject({ until: ward.now + 8 * hour });
    expect(read({ reason: 'theatre at 06:00', until: wall('06:30') / 1000 })).toMatchObject({
      until: wall('06:30'),
    });
  });

  it.each<[Record<string, RawValue>, object]>([
    [{}, { reason: 'Write why, in 3 characters or more, for example “needed for theatre at 06:00”.' }],
    [
      { reason: 'theatre', until: wall('02:50') / 1000 },
      { until: 'Wed 25 Nov 02:50 can’t be used. Choose from Wed 25 Nov 02:55 to Sat 28 Nov 02:40.' },
    ],
    [
      { reason: 'theatre', until: wall('2026-11-28 02:41') / 1000 },
      { until: 'Sat 28 Nov 02:41 can’t be used. Choose from Wed 25 Nov 02:55 to Sat 28 Nov 02:40.' },
    ],
  ])('says of %j what is wrong', (raw, errors) => {
    expect(read(raw)).toEqual({ is: 'wrong', errors });
  });
});
