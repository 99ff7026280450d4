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
export type DutyKind = (typeof dutyKinds)[number];
