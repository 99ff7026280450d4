import { inventedLineId, inventedLog, inventedWard } from '../../app/rehearsal/invented-line.ts';
import { accept } from '../../domain/accept/accept.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import { type DutyChanges, dutyChanges } from '../../domain/duties/duty-changes.ts';
import { foldLine } from '../../domain/fold/fold-line.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { Entry, EntryDraft } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { lineVerb } from '../verbs/line-verbs.ts';
import type { Values } from '../verbs/verb.ts';
import type { Screen } from './screen.ts';

const nobody = 'invented-nurse';

/**
 * What a verb's usual entry does to the duties of the invented line at `now` (ms), by the ward's policy: worked out
 * by the code that does it for real, so that help cannot say otherwise. Null for a verb that records nothing of a line.
 * Throws where the draft that a screen names is refused: then the screen is wrong.
 */
export function usualChanges(
  { verb, usual, practise }: Screen,
  policy: WardPolicy,
  now: number,
): { line: LineState; changes: DutyChanges } | null {
  const kind = typeof practise === 'string' ? practise : 'none';
  if (usual === undefined) return null;
  const log: Entry[] = inventedLog(kind, now, nobody);
  const ward = inventedWard(policy, now);
  const before = foldLine(inventedLineId, log);
  for (const draft of draftsOf(verb, usual, before, ward.policy)) {
    const head = { at: now, told: now, by: nobody, via: 'form' } as const;
    const verdict = accept(foldLine(inventedLineId, log), ward, draft, head, log);
    if (!('take' in verdict)) throw new Error(`help records ${verb} in a way that is refused`);
    log.push(verdict.take);
  }
  const line = foldLine(inventedLineId, log);
  const duties = (one: LineState) => dutiesOfLine(one, ward.policy, now);
  return { line, changes: dutyChanges(duties(before), duties(line)) };
}

function draftsOf(
  verb: string,
  usual: NonNullable<Screen['usual']>,
  line: LineState,
  policy: WardPolicy,
): readonly EntryDraft[] {
  if (Array.isArray(usual)) return usual as readonly EntryDraft[];
  const read = lineVerb(verb)?.drafts(usual as Values, line, policy);
  if (!read || 'problems' in read) throw new Error(`help records ${verb} in a way that cannot be`);
  return read.drafts;
}
