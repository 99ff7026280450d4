import type { DraftResult } from '../../app/decide-drafts.ts';
import type { Outcome } from '../../app/record-on-lines.ts';
import type { Question } from '../../domain/accept/asked-first.ts';
import { usualFlushMl } from '../../domain/fluid/usual-flush.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { largeFlushWords } from '../../wording/care/fluid-words.ts';
import { strongHeparinWords } from '../../wording/care/heparin-words.ts';
import { clockText, lineWords, spanText } from '../../wording/care/line-words.ts';
import type { Names } from '../../wording/names.ts';
import { type ActionValue, askableKinds } from '../action-value.ts';
import { buttonsOf } from '../messages/line-button.ts';
import { type ButtonOf } from '../parts.ts';

type DraftAt = NonNullable<ActionValue['t']>;

/** What is asked before a draft entry is recorded, for the person who sent it. `at`: when it happened, ms. */
export async function askedWords(
  { question, at }: { question: Question; at: number },
  line: LineState,
  ward: WardState,
  names: Names,
  now: number,
): Promise<string> {
  const which = lineWords(line);
  if (question.about === 'strong heparin') {
    const { heparinUPerMl, aboveUPerMl } = question;
    return `Not recorded yet: ${which}. ${strongHeparinWords(heparinUPerMl, aboveUPerMl, line.patient.weightKg)}`;
  }
  if (question.about === 'large flush')
    return `Not recorded yet: ${which}. ${largeFlushWords(question.volumeMl, question.usualMl, line.patient.weightKg)}`;
  const { flush, yes } = question;
  const agoMs = at - flush.at;
  const when =
    agoMs < 0
      ? clockText(ward.policy, flush.at, now)
      : agoMs < 60_000
        ? 'just now'
        : `${spanText(agoMs)} ago`;
  const had = flush.volumeMl === null ? 'volume not recorded' : `${flush.volumeMl} mL`;
  return `Not recorded yet: ${which} was flushed ${when} by ${await names.of(flush.by)}, ${had}. Again? That would add ${yes.body.volumeMl} mL.`;
}

/**
 * The buttons that answer what was asked. Where somebody else recorded the same within a minute, it is recorded once, and whoever
 * gave a second flush can still say so.
 */
export function answerButtons({ results, lines, ward, repeat }: Outcome): ButtonOf[] {
  if (repeat) return [];
  const several = lines.size > 1;
  return results.flatMap((one): ButtonOf[] => {
    const line = lines.get(one.lineId);
    if (line && isFlushUnrecorded(one, line)) return [flushedButton(ward.id, line)];
    const yes = line && yesTo(one, line, ward);
    if (!line || !yes) return [];
    const { name } = line.patient;
    const toSee = one.is === 'asked' ? valueToSee(one.question) : null;
    const text = toSee ? `${toSee} is right: record it` : `flushed again: ${Number(yes.body['volumeMl'])} mL`;
    const said = several ? `${name}: ${text}` : `Yes, ${text}`;
    const button = buttonsOf(ward.id, line)(`done:again:${line.id}`, said, { t: yes, label: text });
    return toSee ? [button, changeButton(ward.id, line, yes)] : [button];
  });
}

/** `10 U/mL` or `20 mL`: what somebody must look at again; null where the question is another. */
function valueToSee(question: Question): string | null {
  if (question.about === 'strong heparin') return `${question.heparinUPerMl} U/mL`;
  return question.about === 'large flush' ? `${question.volumeMl} mL` : null;
}

/** A sample was recorded of which nobody said whether the line was flushed after, and nobody flushed it since. */
function isFlushUnrecorded(one: DraftResult, { flushCause }: LineState): boolean {
  return (
    one.is === 'taken' &&
    one.entry.kind === 'sampled' &&
    one.entry.body.flushed === undefined &&
    flushCause !== null
  );
}

function flushedButton(wardId: string, line: LineState): ButtonOf {
  return buttonsOf(wardId, line)(`done:flush:${line.id}`, 'Flushed', { label: 'flushed now' });
}

/** Opens the form again with what was recorded, to put it right. */
export function changeButton(wardId: string, line: LineState, t: DraftAt): ButtonOf {
  const verb = t.kind === 'flushed' ? 'flush' : 'source';
  const of = { v: verb, t, label: 'change what was recorded' };
  return buttonsOf(wardId, line)(`open:${verb}:${line.id}:change`, 'Change it…', of);
}

function yesTo(one: DraftResult, line: LineState, { policy }: WardState): DraftAt | null {
  if (one.is === 'asked') {
    const { yes } = one.question;
    const kind = askableKinds.find((each) => each === yes.kind);
    return kind ? { kind, body: yes.body, at: one.at } : null;
  }
  if (one.is !== 'already' || one.draft.kind !== 'flushed' || one.isDoublePress) return null;
  const { done, draft, at } = one;
  const usual = { volumeMl: usualFlushMl(policy, line.patient.weightKg), usual: true };
  const volume = draft.body.volumeMl === undefined ? usual : {};
  return { kind: 'flushed', body: { ...draft.body, ...volume, again: done.entry }, at };
}
