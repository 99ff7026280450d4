import { DateTime } from 'luxon';
import { describe, expect, it } from 'vitest';
import { readSetUpForm, setUpForm } from '../../../src/chat/forms/set-up-form.ts';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { newWard } from '../../../src/domain/ward/ward-state.ts';
import type { RawValue } from '../../../src/practice/platform/element-values.ts';
import { clientObjections, filledForm, inputIds, refusalOf, withoutEmpty } from './filled-form.ts';

const now = Date.parse('2026-11-24T19:20:00Z');
const ward = newWard('T0NEW.C0NEW', defaultPolicy('UTC'));
const form = (onCall: string | null = null) => setUpForm(ward, { zone: 'Australia/Melbourne', onCall, now });
const read = (raw: Record<string, RawValue> = {}) => readSetUpForm(filledForm(form(), raw), ward);

describe('the form that sets a ward up', () => {
  it('can be saved as it stands: the zone of whoever opened it, and the defaults', () => {
    const view = form();
    expect(refusalOf(view)).toBeNull();
    expect(inputIds(view)).toEqual(['zone', 'shifts', 'onCall', 'backup', 'night']);
    const sent = filledForm(view);
    expect(clientObjections(view, sent)).toEqual({});
    const { shifts } = ward.policy.shifts;
    for (const one of [sent, withoutEmpty(sent)])
      expect(readSetUpForm(one, ward)).toEqual({
        is: 'ok',
        wardId: 'T0NEW.C0NEW',
        policy: { ...ward.policy, shifts: { zone: 'Australia/Melbourne', shifts } },
        onCall: null,
      });
  });

  it('shows the time in that zone, to be compared with the clock on the wall', () => {
    // Luxon reads the same IANA database by another way than the product's own calendar.
    const there = DateTime.fromMillis(now, { zone: 'Australia/Melbourne' }).toFormat('HH:mm');
    expect(JSON.stringify(form())).toContain(`${there} in Australia/Melbourne`);
    expect(there).toBe('06:20');
  });

  it('takes people, shifts and the night', () => {
    expect(
      read({
        shifts: 'Early 6:30, Late 14:00, Night 22:00',
        onCall: 'U0VET',
        backup: 'U0BACK',
        night: 'all late care',
      }),
    ).toMatchObject({
      is: 'ok',
      onCall: 'U0VET',
      policy: {
        shifts: {
          shifts: [
            { name: 'Early', startsAt: '06:30' },
            { name: 'Late', startsAt: '14:00' },
            { name: 'Night', startsAt: '22:00' },
          ],
        },
        backup: 'U0BACK',
        waking: { from: '00:00', to: '23:59' },
      },
    });
  });

  it('says what to write where something can’t be, and sets nothing', () => {
    expect(read({ zone: '+02:00' })).toMatchObject({
      is: 'wrong',
      errors: { zone: expect.stringContaining('Area/City') as string },
    });
    expect(read({ shifts: 'Day' })).toMatchObject({
      is: 'wrong',
      errors: { shifts: expect.stringContaining('Write it like this: Day 07:00') as string },
    });
    expect(read({ shifts: 'Day 07:00, Night 07:00' })).toMatchObject({
      is: 'wrong',
      errors: { shifts: expect.stringContaining('both start at 07:00') as string },
    });
    expect(readSetUpForm({ ...filledForm(form()), meta: '{}' }, ward)).toEqual({ is: 'stale' });
  });

  it('leaves waking hours that a ward already has where its choice comes to them', () => {
    const own = { ...ward, policy: { ...ward.policy, waking: { from: '06:30', to: '21:00' } as const } };
    const view = setUpForm(own, { zone: 'UTC', onCall: 'U0VET', now });
    expect(readSetUpForm(filledForm(view), own)).toMatchObject({
      onCall: 'U0VET',
      policy: { waking: { from: '06:30', to: '21:00' } },
    });
  });
});
