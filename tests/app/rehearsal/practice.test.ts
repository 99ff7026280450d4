import { describe, expect, test } from 'vitest';
import { answerFault } from '../../../src/app/answer-fault.ts';
import { recordOnLines } from '../../../src/app/record-on-lines.ts';
import {
  inventedKinds,
  inventedLineId,
  inventedLog,
  practiceWardId,
} from '../../../src/app/rehearsal/invented-line.ts';
import { practiceOn } from '../../../src/app/rehearsal/practice.ts';
import { accept } from '../../../src/domain/accept/accept.ts';
import { dutiesOfLine } from '../../../src/domain/duties/duties-of-line.ts';
import { foldLine } from '../../../src/domain/fold/fold-line.ts';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { entrySchema } from '../../../src/domain/record/entry.ts';
import { newWard } from '../../../src/domain/ward/ward-state.ts';
import { appOnMemory } from '../../support/app-on-memory.ts';
import * as fc from '../../support/properties.ts';

const policy = defaultPolicy('Europe/Berlin');
// A week around the night the clocks go back in Berlin, to the minute.
const anyTime = fc
  .integer({ min: 0, max: 7 * 24 * 60 })
  .map((minutes) => Date.parse('2026-10-22T00:00:00Z') + minutes * 60_000);
const kindsWithLine = inventedKinds.filter((kind) => kind !== 'none');

describe('the invented line', () => {
  test('is a log that the real door takes, entry by entry, at any time', () => {
    fc.assert(
      fc.property(anyTime, fc.constantFrom(...kindsWithLine), (at, kind) => {
        const log = inventedLog(kind, at, 'nina');
        const ward = newWard('T0TEST.C0WARD', policy);
        for (const [index, entry] of log.entries()) {
          expect(entrySchema.parse(entry)).toEqual(entry);
          if (index === 0) continue;
          const line = foldLine('pebble', log.slice(0, index));
          const { kind: what, body, ...head } = entry;
          const verdict = accept(line, ward, { kind: what, body } as never, head, log.slice(0, index));
          expect('take' in verdict, `${what}: ${JSON.stringify(verdict)}`).toBe(true);
        }
      }),
      { numRuns: 60 },
    );
  });

  test('has something due about now, whatever is practised on it', () => {
    fc.assert(
      fc.property(anyTime, fc.constantFrom(...kindsWithLine), (at, kind) => {
        const duties = dutiesOfLine(foldLine('pebble', inventedLog(kind, at, 'nina')), policy, at);
        expect(duties.some(({ dueAt }) => dueAt <= at + 15 * 60_000)).toBe(true);
      }),
    );
  });

  test('of one not zeroed since a fault owes zero and test, of one in order neither', () => {
    const at = Date.parse('2026-11-24T21:10:00Z');
    const owed = (kind: 'by hand' | 'not zeroed') =>
      dutiesOfLine(foldLine('pebble', inventedLog(kind, at, 'nina')), policy, at)
        .filter(({ dueAt }) => dueAt <= at)
        .map(({ kind: what }) => what);
    expect(owed('not zeroed')).toEqual(['zero', 'test']);
    expect(owed('by hand')).toEqual([]);
  });
});

describe('a practice', () => {
  const at = Date.parse('2026-11-24T21:10:00Z');
  function begin() {
    const { deps, record } = appOnMemory(at);
    record.commit = async () => {
      throw new Error('the real record was written to');
    };
    return { deps, practice: practiceOn(deps, policy, { kind: 'by hand', at, user: 'nina', entries: [] }) };
  }
  const intent = { wardId: practiceWardId, by: 'nina', via: 'button' } as const;

  test('takes and refuses as for real, and the real record is not written to', async () => {
    const { practice } = begin();
    expect(practice.changes(at)).toBeNull();
    const told = await recordOnLines(practice.deps, intent, [
      { lineId: inventedLineId, draft: { kind: 'flushed', body: {} } },
      { lineId: inventedLineId, draft: { kind: 'pulseChecked', body: { pulse: 'present' } } },
    ]);
    expect(told.results.map(({ is }) => is)).toEqual(['taken', 'refused']);
    expect(practice.changes(at)?.changes).toEqual({
      done: [{ kind: 'flush', nextAt: at + 60 * 60_000 }],
      gone: [],
      brought: [],
    });
  });

  test('goes on with a fault’s path from what it carried', async () => {
    const { deps, practice } = begin();
    await recordOnLines(practice.deps, intent, [
      { lineId: inventedLineId, draft: { kind: 'faultOpened', body: { sign: 'none' } } },
    ]);
    const next = practiceOn(deps, policy, { kind: 'by hand', at, user: 'nina', entries: practice.entries() });
    await answerFault(next.deps, intent, inventedLineId, 'none', { step: 'none.patient', answer: 'bad' });
    expect(next.entries().map(({ kind }) => kind)).toEqual(['faultOpened', 'faultStep', 'faultClosed']);
    expect(next.record.line(inventedLineId)?.faultLeft?.sign).toBe('none');
  });

  test('knows no ward but its own', async () => {
    const { practice } = begin();
    await expect(practice.record.readWard('T0TEST.C0WARD')).rejects.toThrow(
      /asked for the ward T0TEST\.C0WARD/,
    );
    await expect(
      recordOnLines(practice.deps, { ...intent, wardId: 'T0TEST.C0WARD' }, [
        { lineId: inventedLineId, draft: { kind: 'flushed', body: {} } },
      ]),
    ).rejects.toThrow(/asked for the ward/);
  });
});
