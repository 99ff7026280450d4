import type { Outcome, Told } from '../../app/tell-lines.ts';
import { usualFlushMl } from '../../domain/fluid/usual-flush.ts';
import type { Telling } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { actionValue } from '../action-value.ts';
import type { ButtonSpec } from '../messages/blocks.ts';
import type { Names } from '../names.ts';
import { clockText, lineWords, spanText } from '../wording/line-words.ts';

/** What is asked before a telling is recorded, for the person who told it. */
export async function askedWords(
  { question, at }: Told & { is: 'asked' },
  line: LineState,
  ward: WardState,
  names: Names,
  now: number,
): Promise<string> {
  const { flush, yes } = question;
  const agoMs = at - flush.at;
  const when =
    agoMs < 0
      ? clockText(ward.policy, flush.at, now)
      : agoMs < 60_000
        ? 'just now'
        : `${spanText(agoMs)} ago`;
  const had = flush.volumeMl === null ? 'volume not told' : `${flush.volumeMl} mL`;
  return `Not recorded yet: ${lineWords(line)} was flushed ${when} by ${await names.of(flush.by)}, ${had}. Again? That would add ${yes.body.volumeMl} mL.`;
}

/**
 * The buttons that answer what was asked. Where somebody else told the same within a minute, it is recorded once, and whoever
 * gave a second flush can still say so.
 */
export function answerButtons({ told, lines, ward, repeat }: Outcome): ButtonSpec[] {
  if (repeat) return [];
  const several = lines.size > 1;
  return told.flatMap((one): ButtonSpec[] => {
    const line = lines.get(one.lineId);
    const yes = line && yesTo(one, line, ward);
    if (!line || !yes || yes.telling.kind !== 'flushed') return [];
    const { name } = line.patient;
    const text = `flushed again: ${yes.telling.body.volumeMl} mL`;
    return [
      {
        action: `done:again:${line.id}`,
        text: several ? `${name}: ${text}` : `Yes, ${text}`,
        value: actionValue({ w: ward.id, l: line.id, t: { ...yes.telling, at: yes.at } }),
        label: `${name}: ${text}`,
      },
    ];
  });
}

function yesTo(one: Told, line: LineState, { policy }: WardState): { telling: Telling; at: number } | null {
  if (one.is === 'asked') return { telling: one.question.yes, at: one.at };
  if (one.is !== 'already' || one.telling.kind !== 'flushed' || one.isDoublePress) return null;
  const { done, telling } = one;
  const volumeMl = telling.body.volumeMl;
  return {
    telling: {
      kind: 'flushed',
      body: {
        ...telling.body,
        ...(volumeMl === undefined
          ? { volumeMl: usualFlushMl(policy, line.patient.weightKg), usual: true }
          : {}),
        again: done.entry,
      },
    },
    at: one.at,
  };
}
