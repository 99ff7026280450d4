import { isOfTheSite } from '../domain/animal/animal.ts';
import type { Caution, Screening } from '../domain/placing/screening.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { DraftOf, EntryDraft } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { screeningAmended } from '../domain/ward/override.ts';

type PlacedBody = DraftOf<'placed'>['body'];

/** The cautions that count for a line because they were recorded on another line of its animal. */
export function cautionsFromOthers({ animal }: LineState): Caution[] {
  const own = new Set(animal?.own.screening?.cautions);
  const theirs = (animal?.others ?? []).flatMap(({ screening }) => screening?.cautions ?? []);
  return [...new Set(theirs)].filter((caution) => !isOfTheSite(caution) && !own.has(caution));
}

/**
 * What is recorded on an animal's other lines with something put right of one line's placing (`body`), so that it holds for the
 * animal: a caution that was taken off is taken off each line that has it, and so is a bleeding disorder. What is about one
 * artery is that line's alone.
 */
export function draftsForOthers(
  line: LineState,
  body: Record<string, unknown>,
  policy: WardPolicy,
): { lineId: string; draft: EntryDraft }[] {
  // Recorded as another animal's, it says nothing of these lines.
  if ('animal' in body) return [];
  const { screening, patient } = body as Partial<Pick<PlacedBody, 'screening' | 'patient'>>;
  const isCleared = patient !== undefined && patient.bleeding !== true && line.patient.bleeding === true;
  const gone = (line.screening?.cautions ?? []).filter(
    (caution) => screening !== undefined && !screening.cautions.includes(caution) && !isOfTheSite(caution),
  );
  return (line.animal?.others ?? []).flatMap((other) => {
    const said = screeningWithout(other.screening, gone, policy);
    const put = isCleared && other.patient.bleeding === true ? patient : undefined;
    if (!said && !put) return [];
    const body = { ...(said ? { screening: said } : {}), ...(put ? { patient: put } : {}) };
    return [{ lineId: other.id, draft: { kind: 'amended', body: { target: 1, body } } }];
  });
}

function screeningWithout(
  before: Screening | null,
  gone: readonly Caution[],
  policy: WardPolicy,
): Screening | null {
  if (!before?.cautions.some((caution) => gone.includes(caution))) return null;
  return screeningAmended(
    policy,
    before,
    before.cautions.filter((caution) => !gone.includes(caution)),
  );
}
