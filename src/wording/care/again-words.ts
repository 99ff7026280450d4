import type { Trouble } from '../../domain/handover/trouble.ts';
import { type RecurringFinding, recurringFindings } from '../../domain/policy/again-for.ts';
import { graceOf, type WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';

/**
 * What the ward has set for the time a trouble comes back, or for its end: whom it calls, by when, and beyond which figure.
 * `who`: whom the coming shift calls. The figures are the ward policy's; nothing here is an order. Empty where the ward has
 * set nothing, and for what can't come again once the line is out.
 */
export function againWords(
  trouble: Trouble,
  { removed }: Pick<LineState, 'removed'>,
  policy: WardPolicy,
  who: string,
): string {
  switch (trouble.what) {
    case 'finding': {
      const theirs = wardsWords(trouble, policy);
      const then = theirs === undefined ? `call ${who} at once` : theirs;
      return `${trouble.clearAt === null ? 'No better, or worse' : 'If again'}: ${then}`;
    }
    case 'piece missing':
      return `Keep every piece for ${who}`;
    case 'pressure': {
      const [first] = trouble.beyond;
      if (!first) return '';
      const { side, limitMmHg } = first;
      return `${trouble.within ? 'If' : 'Still'} ${side} ${limitMmHg}${trouble.within ? ' again' : ''}: call ${who} at once`;
    }
    case 'fault':
      if (removed) return '';
      return trouble.fault.closedAt === null || trouble.left
        ? 'Patient first, then the fault questions'
        : 'If again: patient first, then the fault questions';
    case 'late':
      if (removed && !trouble.isOpen) return '';
      return trouble.isOpen
        ? `Do it first, or call ${who}`
        : `Late again: ${who} is told at ${graceOf(policy, trouble.kind).clinician} min`;
    case 'hold late':
      return `Look now; oozes: press, call ${who}`;
    case 'dwell':
      return trouble.hasPassed ? `Out now, unless ${who} decides` : `Out by then, unless ${who} decides`;
    case 'lost':
      return `Limb cold or pulse weak: call ${who} at once`;
    case 'blood':
      return trouble.isMuch ? `Ask ${who} before the next sample` : `Bleeds again: press, call ${who}`;
    case 'waiver ends':
      return `Due again then, unless ${who} decides`;
    case 'targets end':
      return `${who} sets new ones, or the ward’s limits apply`;
    case 'caution':
      return trouble.cautions.some((one) => one === 'bleeding disorder' || one === 'clotting unknown')
        ? `Ask ${who} before it comes out; hold ${policy.holdBleedingMin} min`
        : '';
  }
}

/** The ward's own words for the gravest thing that was found and that it has words for; undefined where it has none. */
function wardsWords(
  { site, limb }: Extract<Trouble, { what: 'finding' }>,
  { againFor }: WardPolicy,
): string | undefined {
  const found: Record<RecurringFinding, boolean> = {
    noPulse: site.noPulse === true || limb?.pulse === 'absent',
    cold: site.cold === true || limb?.cold === true,
    swelling: site.swelling === true,
    ooze: site.ooze === true,
    pain: site.pain === true,
  };
  const kind = recurringFindings.find((one) => found[one] && againFor[one] !== undefined);
  return kind === undefined ? undefined : againFor[kind];
}
