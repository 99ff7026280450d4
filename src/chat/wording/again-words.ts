import type { Trouble } from '../../domain/handover/trouble.ts';
import { graceOf, type WardPolicy } from '../../domain/policy/ward-policy.ts';

/**
 * What the ward has set for the time a trouble comes back, or for its end: whom it calls, by when, and beyond which figure.
 * `who`: whom the coming shift calls. The figures are the ward policy's; nothing here is an order. Empty where the ward has
 * set nothing.
 */
export function againWords(trouble: Trouble, policy: WardPolicy, who: string): string {
  switch (trouble.what) {
    case 'finding':
      return trouble.clearAt === null
        ? `No better, or worse: call ${who} at once`
        : `Again: call ${who} at once`;
    case 'piece missing':
      return `Keep every piece for ${who}`;
    case 'pressure': {
      const [first] = trouble.beyond;
      if (!first) return '';
      const { side, limitMmHg } = first;
      return `${trouble.within ? 'Again' : 'Still'} ${side} ${limitMmHg}: call ${who} at once`;
    }
    case 'fault':
      return trouble.fault.closedAt === null || trouble.left
        ? 'Patient, then the fault path'
        : 'Again: patient, then the fault path';
    case 'late':
      return trouble.isOpen
        ? `Do it first; can’t: call ${who}`
        : `Late again: ${who} is told at ${graceOf(policy, trouble.kind).clinician} min`;
    case 'dwell':
      return trouble.hasPassed ? `Out now, unless ${who} decides` : `Out by then, unless ${who} decides`;
    case 'lost':
      return `Limb cold or pulse weak: call ${who} at once`;
    case 'blood':
      return trouble.isMuch ? `Ask ${who} before the next sample` : `Bleeds again: press, call ${who}`;
    case 'waiver ends':
      return `Due again then, unless ${who} decides`;
    case 'targets end':
      return `${who} sets new ones, or the ward’s limits hold`;
    case 'caution':
      return trouble.cautions.some((one) => one === 'bleeding disorder' || one === 'clotting unknown')
        ? `Ask ${who} before it comes out; hold ${policy.holdBleedingMin} min`
        : '';
  }
}
