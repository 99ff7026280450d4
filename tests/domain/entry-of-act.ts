import { accept } from '../../src/domain/accept/accept.ts';
import { dutiesOfLine } from '../../src/domain/duties/duties-of-line.ts';
import type { Entry, EntryDraft } from '../../src/domain/record/entry.ts';
import type { LineState } from '../../src/domain/record/line-state.ts';
import type { WardState } from '../../src/domain/ward/ward-state.ts';
import type { Act } from '../support/arbitraries.ts';
import { minute } from '../support/line-builder.ts';

/** The entry an act makes when it is told at `now`, as the door takes it; null when it is refused or told already. */
export function entryOf(
  act: Act,
  line: LineState,
  log: readonly Entry[],
  ward: WardState,
  now: number,
): Entry | null {
  const draft = tellingOf(act, line, log, ward, now);
  if (draft === null) return null;
  const by = act.does === 'answer' && act.with === 'waived' ? 'vet' : 'nina';
  const verdict = accept(line, ward, draft, { at: now - act.backMs, told: now, by, via: 'button' }, log);
  return 'take' in verdict ? verdict.take : null;
}

function tellingOf(
  act: Act,
  line: LineState,
  log: readonly Entry[],
  ward: WardState,
  now: number,
): EntryDraft | null {
  switch (act.does) {
    case 'record':
      return act.draft;
    case 'amend': {
      const target = (act.pick % log.length) + 1;
      const original = log[target - 1];
      if (original === undefined) return null;
      if (original.kind === 'amended' || act.moveMs === null)
        return { kind: 'amended', body: { target, strike: 'a slip' } };
      const body =
        original.kind === 'flushed' && act.volumeMl !== null ? { body: { volumeMl: act.volumeMl } } : {};
      return { kind: 'amended', body: { target, at: Math.min(original.at + act.moveMs, now), ...body } };
    }
    case 'answer': {
      const open = dutiesOfLine(line, ward.policy, now).filter(({ dueAt }) => dueAt <= now + 10 * minute);
      const duty = open[act.pick % Math.max(open.length, 1)];
      if (!duty) return null;
      const { kind, dueAt } = duty;
      if (act.with === 'cannot') return { kind: 'noted', body: { text: 'cannot', cannot: [kind, dueAt] } };
      const until = now + act.forMs;
      if (act.with === 'waived')
        return { kind: 'waived', body: { duty: kind, dueAt, reason: 'decided', until } };
      return { kind: act.with, body: { duties: [[kind, dueAt]], until } };
    }
  }
}
