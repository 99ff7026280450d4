import type { FaultSign } from '../domain/fault/fault-path.ts';
import { type FaultStep, nextQuestion } from '../domain/fault/next-question.ts';
import type { Telling } from '../domain/record/entry.ts';
import { openFault } from '../domain/record/fold-line.ts';
import type { AppDeps } from './app-deps.ts';
import { type Intent, type Outcome, tellLines } from './tell-lines.ts';

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
  const tellings: Telling[] = [
    { kind: 'faultStep', body: given },
    ...(after?.is === 'end'
      ? [{ kind: 'faultClosed' as const, body: { resolved: after.resolved, sign, byPath: true } }]
      : []),
  ];
  return tellLines(
    deps,
    intent,
    tellings.map((telling) => ({ lineId, telling })),
  );
}
