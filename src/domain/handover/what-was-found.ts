import { isWithin, type LineCourse, type Period } from '../audit/line-course.ts';
import type { WardPolicy } from '../policy/ward-policy.ts';
import { type BeyondLimit, beyondAt } from '../reading/beyond-limits.ts';
import { isAlarming } from '../record/entry.ts';
import type { LineState } from '../record/line-state.ts';
import type { Trouble } from './trouble.ts';

type Finding = Trouble & { what: 'finding' };

/**
 * What was found at the site and the limb in the time of `worked`, clear since or not: all that was seen from the first sign
 * until a look found nothing amiss is one finding.
 */
export function findingsOf({ steps, last }: LineCourse, { fromMs, toMs }: Period): Finding[] {
  const all: Finding[] = [];
  const standing = () => (all.at(-1)?.clearAt === null ? all.at(-1) : undefined);
  for (const { entry, after } of steps) {
    const one = standing();
    const { finding } = after;
    if (finding && one) {
      if (isAlarming(finding.site)) one.site = { ...one.site, ...finding.site };
      one.limb = finding.limb ?? one.limb;
    } else if (finding) {
      all.push({ what: 'finding', at: finding.at, site: finding.site, limb: finding.limb, clearAt: null });
    } else if (one) one.clearAt = entry.at;
  }
  // Of an animal that died nothing is looked at again.
  if (last.removed?.reason === 'death' && standing()) all.pop();
  return all.filter(({ at, clearAt }) => at <= toMs && (clearAt ?? toMs) >= fromMs);
}

/** How far a pressure lies beyond its limit, as a share of it. */
function excess({ mmHg, limitMmHg }: BeyondLimit): number {
  return Math.abs(mmHg - limitMmHg) / limitMmHg;
}

/**
 * The readings of the shift `worked` that lay beyond the line's targets or the ward's limits, named by the worst; null where
 * none did, and of a line that is out. `line`: with its animal's targets.
 */
export function pressureOf(
  { steps, last }: LineCourse,
  line: LineState,
  policyAt: (at: number) => WardPolicy,
  worked: Period,
): (Trouble & { what: 'pressure' }) | null {
  if (last.removed) return null;
  const read = steps.flatMap(({ entry, after }) => {
    const { reading } = after;
    if (entry.kind !== 'reading' || !reading || reading.at !== entry.at) return [];
    const targets = line.targets && reading.at >= line.targets.at ? line.targets : after.targets;
    return [{ reading, beyond: beyondAt(reading, reading.at, { targets }, policyAt(reading.at)) }];
  });
  const latest = read.at(-1);
  // A reading from before the shift that was beyond and after which nobody read again stands still.
  const bad = read.filter(
    ({ reading, beyond }) =>
      beyond.length > 0 &&
      (isWithin(reading.at, { ...worked, toMs: worked.toMs + 1 }) || reading === latest?.reading),
  );
  const worst = bad.toSorted(
    (a, b) => Math.max(...b.beyond.map(excess)) - Math.max(...a.beyond.map(excess)),
  )[0];
  if (!worst || !latest) return null;
  return {
    what: 'pressure',
    at: worst.reading.at,
    beyond: worst.beyond,
    times: bad.length,
    within: latest.beyond.length === 0 ? latest.reading : null,
  };
}
