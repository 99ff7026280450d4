import { describe, expect, it } from 'vitest';
import { usualDrafts } from '../../../src/domain/duties/usual-drafts.ts';
import { dutyKinds } from '../../../src/domain/duty-kind.ts';
import { bodySchema } from '../../../src/domain/record/entry.ts';

const kindsDrafted = (...kinds: Parameters<typeof usualDrafts>[0]) =>
  usualDrafts(kinds).map(({ kind }) => kind);

// Common practice, no source: a redress moves the line, so zero follows it, and the test follows zero.
describe('"all done, nothing amiss"', () => {
  it('tells a round in the order it is done: redress, flush, level and zero, test', () => {
    expect(kindsDrafted('test', 'zero', 'flush', 'redress')).toEqual([
      'redressed',
      'flushed',
      'levelled',
      'zeroed',
      'fastFlushTested',
    ]);
  });

  it('tells of each what is usual: seen and unremarkable, normal, no ooze, pulse felt', () => {
    const bodies = (...kinds: Parameters<typeof usualDrafts>[0]) =>
      usualDrafts(kinds).map(({ body }) => body);
    expect(bodies('site')).toEqual([{ finding: {} }]);
    expect(bodies('redress')).toEqual([{ finding: {} }]);
    expect(bodies('test')).toEqual([{ verdict: 'normal' }]);
    expect(bodies('hold')).toEqual([{ oozing: false }]);
    expect(bodies('pulse')).toEqual([{ pulse: 'present' }]);
    expect(usualDrafts(['pulseNextDay'])).toEqual(usualDrafts(['pulse']));
  });

  it('tells site and source before the flush, and the flush before zero and test', () => {
    expect(kindsDrafted('test', 'zero', 'flush', 'source', 'site')).toEqual([
      'siteChecked',
      'sourceChecked',
      'flushed',
      'levelled',
      'zeroed',
      'fastFlushTested',
    ]);
  });

  it('tells the site once where it was redressed and seen', () => {
    expect(kindsDrafted('site', 'redress')).toEqual(['redressed']);
  });

  it('tells nothing of what only a form or a clinician can say', () => {
    expect(kindsDrafted('runOut', 'set', 'dwellLimit', 'dwellWarning', 'stillNeeded')).toEqual([]);
  });

  it('tells only what the record takes', () => {
    const told = usualDrafts(dutyKinds);
    expect(told.map(({ kind, body }) => bodySchema(kind).safeParse(body).success)).toEqual(
      told.map(() => true),
    );
  });
});
