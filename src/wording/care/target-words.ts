import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import {
  pressureKeys,
  pressureNames,
  restsLows,
  type Targets,
  type TargetsSet,
  targetsInForce,
  wardLimits,
} from '../../domain/reading/targets.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { Names } from '../names.ts';
import { quoted } from '../shorten.ts';
import { listed } from './duty-words.ts';

/** `mean 60 to 80, systolic 100 or above mmHg`: the targets in words. */
export function targetText(targets: Targets): string {
  const each = (['mapMmHg', 'sapMmHg', 'dapMmHg'] as const).flatMap((key) => {
    const { low, high } = targets[key] ?? {};
    if (low === undefined && high === undefined) return [];
    const span =
      low === undefined ? `${high} or below` : high === undefined ? `${low} or above` : `${low} to ${high}`;
    return [`${pressureNames[key]} ${span}`];
  });
  return `${each.join(', ')} mmHg`;
}

/** How the targets of a line stand: what is wanted, until when, by whom and why; nothing where none were set. */
export async function targetWords(
  line: Pick<LineState, 'targets'>,
  policy: WardPolicy,
  names: Names,
  clock: (atMs: number) => string,
  now: number,
): Promise<string> {
  const { targets } = line;
  if (targets === null) return '';
  const who = await names.of(targets.by);
  if (targetsInForce(line, now) === null) return endedWords(targets, who, clock, now);
  const rest = restsWords(targets, policy);
  return `Targets ${targetText(targets)} until ${clock(targets.until)} by ${who}: ${quoted(targets.reason)}${rest === '' ? '' : `. ${rest}`}`;
}

/** Targets that are over are named for a day, so that nobody goes on treating by them. */
const namedForMs = 24 * 3_600_000;

function endedWords(targets: TargetsSet, who: string, clock: (atMs: number) => string, now: number): string {
  const ended = Math.min(targets.until, targets.endedAt ?? targets.until);
  if (now - ended > namedForMs) return '';
  return `Targets of ${who} ended ${clock(ended)}: the ward’s limits apply again`;
}

/** Which of the ward's limits rest meanwhile, since a lower pressure is meant; nothing where none does. */
export function restsWords(targets: Targets, policy: WardPolicy): string {
  if (!restsLows(policy, targets)) return '';
  const wards = wardLimits(policy);
  const resting = pressureKeys.flatMap((key) => {
    const { low } = wards[key];
    return low !== null && targets[key]?.low === undefined ? [`${pressureNames[key]} ${low.mmHg}`] : [];
  });
  return resting.length === 0 ? '' : `The ward’s low limits are off until then: ${listed(resting)}`;
}

/** Targets that end before `before` (ms): a clinician sets them anew or lets the ward's limits hold; nothing where none do. */
export function targetsEndWords(
  line: Pick<LineState, 'targets' | 'removed'>,
  before: number,
  clock: (atMs: number) => string,
  now: number,
): string[] {
  const targets = line.removed ? null : targetsInForce(line, now);
  if (targets === null || targets.until > before) return [];
  return [`targets end ${clock(targets.until)}: clinician sets new ones, or the ward’s limits apply`];
}
