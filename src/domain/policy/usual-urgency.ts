import { type DutyKind, dutyKinds } from '../duty-kind.ts';

/**
 * Whom leaving a duty undone may wake. *danger*: the clinician on call, at any hour and at once. *care*: nurses, whoever leads
 * them, and a clinician in waking hours only. *question*: one list a day for the clinician, and nobody else.
 */
export type Urgency = 'danger' | 'care' | 'question';

/** What a ward that says nothing else goes by: common practice, no source; the reasons are in docs/defaults.md. */
export const usualUrgency: Readonly<Record<DutyKind, Urgency>> = {
  finding: 'danger',
  fault: 'danger',
  faultOpen: 'care',
  dwellLimit: 'danger',
  dwellWarning: 'care',
  hold: 'care',
  flush: 'care',
  runOut: 'care',
  zero: 'care',
  test: 'care',
  source: 'care',
  site: 'care',
  pulse: 'care',
  pulseNextDay: 'care',
  redress: 'care',
  stillNeeded: 'question',
  set: 'care',
};

/** Kinds of care that a ward may make a danger from when they are due; a cat's warning and the look after a hold are news. */
export const mayBeDanger: readonly DutyKind[] = dutyKinds.filter(
  (kind) => usualUrgency[kind] === 'care' && kind !== 'dwellWarning' && kind !== 'hold',
);
