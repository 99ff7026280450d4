import { nextQuestion } from '../domain/fault/next-question.ts';
import { openFault } from '../domain/fold/fold-faults.ts';
import type { EntryDraft } from '../domain/record/entry.ts';
import type { Chance } from './chance.ts';
import type { InventedLine, InventedWard } from './invented-ward.ts';

/** A fault opens, and its path is gone through, an answer every half minute. */
export function goThroughFault(
  ward: InventedWard,
  line: InventedLine,
  chance: Chance,
  isHopeless: boolean,
): void {
  const record = (draft: EntryDraft) =>
    ward.record(line, draft, { by: ward.nurseAt(ward.now), at: ward.now });
  const sign = isHopeless ? ('flat' as const) : chance.pick(['flat', 'spiky', 'none', 'drifting']);
  if (!record({ kind: 'faultOpened', body: { sign } })) return;
  const goOn = () => {
    const fault = openFault(line.state, sign);
    if (!fault || line.state.removed) return;
    const asked = nextQuestion(sign, fault.steps);
    if (asked.is === 'end') {
      record({ kind: 'faultClosed', body: { resolved: asked.resolved, sign, byPath: true } });
      return;
    }
    record({
      kind: 'faultStep',
      body: { step: asked.step, answer: answerTo(asked, chance, isHopeless) },
    });
    ward.later(30_000, goOn);
  };
  ward.later(30_000, goOn);
}

function answerTo(
  asked: Extract<ReturnType<typeof nextQuestion>, { is: 'ask' }>,
  chance: Chance,
  isHopeless: boolean,
): string {
  if (asked.isFixed) return !isHopeless && chance.happens(0.8) ? 'solved' : 'not yet';
  const leading = (to: 'next' | 'fixed' | 'clinician') =>
    asked.question.answers.find(({ leads }) => leads === to)?.id;
  const isFound = !isHopeless && asked.number > 1 && chance.happens(0.4);
  return (isFound ? leading('fixed') : undefined) ?? leading('next') ?? asked.answers[0] ?? '';
}
