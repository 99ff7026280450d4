/** Every duty a line can bring with it, in the order a list shows those due at the same minute. */
export const dutyKinds = [
  'finding',
  'fault',
  'faultOpen',
  'dwellLimit',
  'dwellWarning',
  'hold',
  'flush',
  'runOut',
  'zero',
  'test',
  'source',
  'site',
  'pulse',
  'pulseNextDay',
  'redress',
  'stillNeeded',
  'set',
] as const;
/** A kind of care that a line needs, or a question that somebody must answer. */
export type DutyKind = (typeof dutyKinds)[number];

/** A cat's dwell counts from placing, whenever the ward learnt of it. */
export function isDwell(kind: DutyKind): boolean {
  return kind === 'dwellLimit' || kind === 'dwellWarning';
}

/** Duties that are the clinician's from the first: told to them at once, to nobody before, and never put off. */
export function isClinicians(kind: DutyKind): boolean {
  return kind === 'finding' || kind === 'fault';
}
