import type { FaultSign } from '../domain/fault/fault-questions.ts';
import { answerOf, type FaultStep, nextQuestion } from '../domain/fault/next-question.ts';
import { openFault } from '../domain/fold/fold-faults.ts';
import type { EntryDraft } from '../domain/record/entry.ts';
import type { AppDeps } from './app-deps.ts';
import type { Intent } from './decide-drafts.ts';
import { type Outcome, recordOnLines } from './record-on-lines.ts';

/**
 * Writes the answer to what a line's open fault asks now; where it ends the path, the closing goes in with it. An answer
 * to a question that is not asked any more is refused, and closes nothing.
 */
export async function answerFault(
  deps: AppDeps,
  intent: Intent,
  lineId: string,
  sign: FaultSign,
  given: FaultStep,
): Promise<Outcome> {
  const line = await deps.record.readLine(intent.wardId, lineId);
  const fault = line && openFault(line, sign);
  const after = fault ? nextQuestion(sign, [...fault.steps, given]) : null;
  const lost = fault && isAskedNow(sign, fault.steps, given) ? answerOf(given)?.lost : undefined;
  const drafts: EntryDraft[] = [
    { kind: 'faultStep', body: given },
    // A line that had come apart was disconnected, and what it bled counts with the samples.
    ...(lost
      ? [
          {
            kind: 'disturbed' as const,
            body: {
              how: 'disconnected' as const,
              ...(lost.ml === undefined ? {} : { bloodLostMl: lost.ml }),
            },
          },
        ]
      : []),
    ...(after?.is === 'end'
      ? [{ kind: 'faultClosed' as const, body: { resolved: after.resolved, sign, byPath: true } }]
      : []),
  ];
  return recordOnLines(
    deps,
    intent,
    drafts.map((draft) => ({ lineId, draft })),
  );
}

function isAskedNow(sign: FaultSign, steps: readonly FaultStep[], { step }: FaultStep): boolean {
  const asked = nextQuestion(sign, steps);
  return asked.is === 'ask' && asked.step === step;
}
