import { describe, expect, it } from 'vitest';
import { accept } from '../../../src/domain/accept/accept.ts';
import type { EntryDraft } from '../../../src/domain/record/entry.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';

const removed: EntryDraft = { kind: 'removed', body: { reason: 'planned' } };

/** What becomes of a draft of `at`, recorded at 23:00. */
function verdict(line: LineLog, draft: EntryDraft, at = '23:00') {
  const head = { at: wall(at), told: wall('23:00'), by: 'noor', via: 'button' as const };
  return accept(line.state(), testWard(), draft, head, line.entries);
}

const flushed = () => new LineLog('20:00').add('flushed', '22:10', {}).add('flushed', '22:30', {});
const refusedBy = (line: LineLog, number: number) => ({
  refuse: { because: 'seen to since', entry: line.entries[number - 1] },
});

describe('a removal', () => {
  it('of a time after which the line was seen to is refused, with the latest that was done', () => {
    expect(verdict(flushed(), removed, '22:00')).toEqual(refusedBy(flushed(), 3));
    expect(verdict(flushed(), removed, '22:27')).toEqual(refusedBy(flushed(), 3));
  });

  it('is taken within the 2 min by which clocks and fingers differ, and later', () => {
    for (const at of ['22:28', '22:30', '22:59'])
      expect(verdict(flushed(), removed, at)).toMatchObject({ take: { kind: 'removed' } });
  });

  it('is taken whatever was seen of the limb or the patient since, and where the rest was struck', () => {
    const line = flushed()
      .add('siteChecked', '22:40', { finding: {} })
      .add('leftWard', '22:41', { to: 'theatre' })
      .add('amended', '22:42', { target: 2, strike: 'another patient' })
      .add('amended', '22:42', { target: 3, strike: 'another patient' });
    expect(verdict(line, removed, '22:00')).toMatchObject({ take: { kind: 'removed' } });
  });

  it('is put right neither to before what was done, nor is that to after it', () => {
    const line = flushed().add('removed', '22:50', { reason: 'planned' });
    const to = (target: number, at: string): EntryDraft => ({
      kind: 'amended',
      body: { target, at: wall(at) },
    });
    expect(verdict(line, to(4, '22:20'))).toEqual(refusedBy(line, 3));
    expect(verdict(line, to(4, '22:40'))).toMatchObject({ take: { kind: 'amended' } });
    const out = { because: 'line out', removedAt: wall('22:50'), by: 'nina' };
    expect(verdict(line, to(3, '22:55'))).toEqual({ refuse: out });
    expect(verdict(line, to(3, '22:45'))).toMatchObject({ take: { kind: 'amended' } });
  });
});

describe('a patient that is back', () => {
  it('is told that the line is out, where it is and was on the ward', () => {
    const line = new LineLog('20:00').add('removed', '22:00', { reason: 'death' });
    expect(verdict(line, { kind: 'returned', body: {} })).toEqual({
      refuse: { because: 'line out', removedAt: wall('22:00'), by: 'nina' },
    });
  });
});
