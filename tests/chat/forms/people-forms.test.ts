import { describe, expect, it } from 'vitest';
import { assignForm, readAssignForm } from '../../../src/chat/forms/assign-form.ts';
import { coverForm, readCoverForm } from '../../../src/chat/forms/cover-form.ts';
import { LineLog, wall, wardZone } from '../../support/line-builder.ts';
import { filledForm, hostileNames, inputIds, refusalOf, shown } from './filled-form.ts';

const wardId = 'T0TEST.C0WARD';
const coming = { startMs: wall('07:00'), name: 'day', clock: '07:00' };
const lines = (count: number) =>
  Array.from({ length: count }, (_, index) => ({
    line: new LineLog(
      '18:00',
      { patient: { name: hostileNames[index % hostileNames.length] ?? '' } },
      `line-${index}`,
    ).state(),
    withWhom: `With ${hostileNames[index % hostileNames.length]}.`,
  }));

describe('the form of who has which line', () => {
  it.each([1, 2, 95, 96, 250])('is one the platform shows for %i lines', (count) => {
    const form = shown(assignForm({ wardId, lines: lines(count), coming, isForComing: true }));
    expect(refusalOf(form)).toBeNull();
    const left = JSON.stringify(form).match(/(\d+) more lines? ha/)?.[1];
    expect(inputIds(form).filter((id) => id.startsWith('line.')).length + Number(left ?? 0)).toBe(count);
  });

  it('reads who was chosen for which line, for all others, and from when', () => {
    const form = shown(assignForm({ wardId, lines: lines(3), coming, isForComing: false }));
    expect(
      readAssignForm(filledForm(form, { 'line.line-1': 'U0TEO', all: 'U0INA', from: 'coming' })),
    ).toEqual({
      is: 'ok',
      wardId,
      lines: new Map([['line-1', 'U0TEO']]),
      others: 'U0INA',
      from: coming.startMs,
    });
    expect(readAssignForm(filledForm(form, { 'line.line-2': 'U0TEO' }))).toEqual({
      is: 'ok',
      wardId,
      lines: new Map([['line-2', 'U0TEO']]),
      from: null,
    });
    expect(readAssignForm({ ...filledForm(form), meta: '{}' })).toEqual({ is: 'stale' });
  });
});

describe('the form of a cover', () => {
  const ward = { now: wall('20:00'), zone: wardZone };
  const form = shown(
    coverForm({
      wardId,
      standing: Array.from({ length: 40 }, (_, index) => ({
        away: `U0AWAY${index}`,
        number: index + 1,
        isToCome: index > 20,
        name: 'y'.repeat(90),
        words: 'x'.repeat(200),
      })),
      away: 'U0INA',
      until: wall('07:00'),
    }),
  );

  it('is one the platform shows with 40 people away', () => {
    expect(refusalOf(form)).toBeNull();
  });

  it.each([
    [wall('07:00'), 'ok'],
    [wall('2026-12-25 20:00'), 'ok'],
    [wall('2026-12-25 20:01'), 'wrong'],
    [wall('20:00'), 'wrong'],
  ])('takes an end that is to come and at most 31 days away (%i: %s)', (until, is) => {
    expect(readCoverForm(filledForm(form, { by: 'U0TEO', until: until / 1000 }), ward)).toMatchObject({ is });
  });
});
