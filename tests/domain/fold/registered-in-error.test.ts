import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import { namedHere, ofAnimal, placingOf } from '../../../src/domain/animal/animal.ts';
import { attemptsOf } from '../../../src/domain/audit/attempts-of.ts';
import { linesAudit } from '../../../src/domain/audit/lines-audit.ts';
import { bloodOfAnimal } from '../../../src/domain/blood/blood-loss.ts';
import { dutiesOfLine, isClosed, owedLines } from '../../../src/domain/duties/duties-of-line.ts';
import { dutyStatus } from '../../../src/domain/duties/duty-status.ts';
import { foldLine, foldNext } from '../../../src/domain/fold/fold-line.ts';
import { lineWakeAt } from '../../../src/domain/ladder/plan-wake.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { logged, policyAt } from '../audit/audited-lines.ts';

const ward = testWard();
const struckAt = wall('20:30');

/** A line placed at 20:00, bled 10 mL, and told at 20:30 to be none. */
const inError = (id = 'line-1') =>
  new LineLog('20:00', { tries: 2 }, id)
    .add('sampled', '20:10', { volumeMl: 10, flushed: true })
    .add('amended', '20:30', { target: 1, strike: 'registered twice', seen: 2 }, { by: 'teo' });

describe('a line registered in error', () => {
  it('owes nothing from then on, is off the list at once, and says by whom and when', () => {
    const state = inError().state();
    expect(state.inError).toEqual({ at: struckAt, by: 'teo', entry: 3, reason: 'registered twice' });
    expect(dutiesOfLine(state, ward.policy, wall('23:00'))).toEqual([]);
    expect(owedLines([state], ward.policy, struckAt)).toEqual([]);
    expect(isClosed(state, ward.policy, struckAt)).toBe(true);
    expect(lineWakeAt(state, ward, struckAt)).toBeNull();
    const asked = { lineId: 'line-1', kind: 'flush' as const, dueAt: wall('21:10') };
    expect(dutyStatus(state, ward.policy, asked, wall('21:10'), wall('21:20'))).toMatchObject({
      is: 'in error',
      done: { by: 'teo' },
    });
  });

  it('is a line as it was again once that is taken back, and only that is taken of it', () => {
    const log = inError();
    const back = { kind: 'amended', body: { target: 3, strike: 'taken back by whoever told it' } } as const;
    const head = { at: wall('20:31'), told: wall('20:31'), by: 'teo', via: 'button' } as const;
    const verdict = accept(log.state(), ward, back, head, log.entries);
    expect(verdict).toHaveProperty('take');
    const after = foldNext(log.state(), { ...head, ...back }, () => log.entries);
    const { version: _, amendedAt: __, ...before } = foldLine('line-1', log.entries.slice(0, 2));
    expect(after).toMatchObject(before);
    expect(dutiesOfLine(after, ward.policy, wall('21:30')).map(({ kind }) => kind)).toContain('flush');
  });

  it('takes its blood, cautions and name away with it from the animal', () => {
    const real = new LineLog('19:00', {}, 'line-2').add('sampled', '20:20', { volumeMl: 3 }).state();
    const wrong = inError().state();
    expect(bloodOfAnimal(ofAnimal(real, 'line-2', [wrong]), struckAt)).toMatchObject({ ml: 3, lines: 1 });
    expect(namedHere([placingOf(wrong)], 'Biscuit', struckAt, 7)).toBeUndefined();
    expect(namedHere([placingOf(wrong), placingOf(real)], 'Biscuit', struckAt, 7)?.line).toBe('line-2');
  });

  it('is no line of the audit, but is told of as what it is', () => {
    const night = { fromMs: wall('19:00'), toMs: wall('2026-11-25 07:00') };
    const audit = linesAudit(logged([inError(), new LineLog('19:30', {}, 'line-2')]), policyAt, night);
    expect(audit).toMatchObject({ all: { lines: 1, placed: 1 }, animals: 1, inError: 1 });
    expect(audit.bloodTaken).toMatchObject({ samples: 0, ml: 0 });
    const entries = inError().entries;
    expect(attemptsOf([], [{ id: 'line-1', entries }])).toEqual([]);
    expect(attemptsOf([], [{ id: 'line-1', entries: entries.slice(0, 2) }])).toHaveLength(2);
  });
});
