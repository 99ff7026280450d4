import type { DutyKind } from '../duty-kind.ts';
import type { EntryDraft } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';

/**
 * What "done, nothing amiss" records of a duty; null where only a form can say what was done (a new source has a volume,
 * a line that comes out has a reason) or a clinician must answer.
 */
export function usualDraft(kind: DutyKind): EntryDraft | null {
  switch (kind) {
    case 'flush':
      return { kind: 'flushed', body: {} };
    case 'zero':
      return { kind: 'zeroed', body: {} };
    case 'test':
      return { kind: 'fastFlushTested', body: { verdict: 'normal' } };
    case 'source':
      return { kind: 'sourceChecked', body: {} };
    case 'site':
      return { kind: 'siteChecked', body: { finding: {} } };
    case 'redress':
      return { kind: 'redressed', body: { finding: {} } };
    case 'hold':
      return { kind: 'holdEnded', body: { oozing: false } };
    case 'pulse':
    case 'pulseNextDay':
      return { kind: 'pulseChecked', body: { pulse: 'present' } };
    case 'finding':
    case 'fault':
    case 'faultOpen':
    case 'runOut':
    case 'set':
    case 'dwellWarning':
    case 'dwellLimit':
    case 'stillNeeded':
      return null;
  }
}

/** The kinds of entry that clear a duty: the last of them is who did it and when. */
export const clearedBy = {
  finding: ['siteChecked', 'redressed', 'pulseChecked'],
  fault: ['faultClosed'],
  faultOpen: ['faultStep', 'faultClosed'],
  flush: ['flushed', 'sampled', 'flushModeChanged', 'capped'],
  zero: ['zeroed'],
  test: ['fastFlushTested'],
  source: ['sourceChecked', 'sourceChanged', 'transducerJoined'],
  runOut: ['sourceChanged', 'sourceChecked', 'flushModeChanged', 'transducerJoined'],
  set: ['sourceChanged', 'transducerJoined'],
  site: ['siteChecked', 'redressed'],
  redress: ['redressed'],
  hold: ['holdEnded'],
  pulse: ['pulseChecked'],
  pulseNextDay: ['pulseChecked'],
  dwellWarning: ['removed'],
  dwellLimit: ['removed'],
  stillNeeded: ['removed'],
} as const satisfies Record<DutyKind, readonly (keyof LineState['last'])[]>;
