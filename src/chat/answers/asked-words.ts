import type { Outcome, Told } from '../../app/tell-lines.ts';
import type { Question } from '../../domain/accept/asked-first.ts';
import { usualFlushMl } from '../../domain/fluid/usual-flush.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { type ActionValue, actionValue, askableKinds } from '../action-value.ts';
import type { Names } from '../names.ts';
import { type ButtonOf } from '../parts.ts';
import { strongHeparinWords } from '../wording/heparin-words.ts';
import { clockText, lineWords, spanText } from '../wording/line-words.ts';

type ToldAt = NonNullable<ActionValue['t']>;

/** What is asked before a telling is recorded, for the person who told it. `at`: when it happened, ms. */
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
 * The buttons that answer what was asked. Where somebody else told the same within a minute, it is recorded once, and whoever
 * gave a second flush can still say so.
 */
export function answerButtons({ told, lines, ward, repeat }: Outcome): ButtonOf[] {
  if (repeat) return [];
  const several = lines.size > 1;
  return told.flatMap((one): ButtonOf[] => {
    const line = lines.get(one.lineId);
    if (line && isFlushUntold(one, line)) return [flushedButton(ward.id, line)];
    const yes = line && yesTo(one, line, ward);
    if (!line || !yes) return [];
    const { name } = line.patient;
    const strong = one.is === 'asked' && one.question.about === 'strong heparin' ? one.question : null;
    const text = strong
      ? `${strong.heparinUPerMl} U/mL is right: record it`
      : `flushed again: ${Number(yes.body['volumeMl'])} mL`;
    const button: ButtonOf = {
      action: `done:again:${line.id}`,
      text: several ? `${name}: ${text}` : `Yes, ${text}`,
      value: actionValue({ w: ward.id, l: line.id, t: yes }),
      label: `${name}: ${text}`,
    };
    return strong ? [button, changeButton(ward.id, line, yes)] : [button];
  });
}

/** A sample was recorded of which nobody said whether the line was flushed after, and nobody flushed it since. */
function isFlushUntold(one: Told, { flushCause }: LineState): boolean {
  return (
    one.is === 'taken' &&
    one.entry.kind === 'sampled' &&
    one.entry.body.flushed === undefined &&
    flushCause !== null
  );
}

function flushedButton(wardId: string, line: LineState): ButtonOf {
  return {
    action: `done:flush:${line.id}`,
    text: 'Flushed',
    value: actionValue({ w: wardId, l: line.id }),
    label: `${line.patient.name}: flushed now`,
  };
}

/** Opens the form again with what was told, to put it right. */
export function changeButton(wardId: string, line: LineState, t: ToldAt): ButtonOf {
  const verb = t.kind === 'flushed' ? 'flush' : 'source';
  return {
    action: `open:${verb}:${line.id}:change`,
    text: 'Change it…',
    value: actionValue({ w: wardId, l: line.id, v: verb, t }),
    label: `${line.patient.name}: change what was recorded`,
  };
}

function yesTo(one: Told, line: LineState, { policy }: WardState): ToldAt | null {
  if (one.is === 'asked') {
    const { yes } = one.question;
    const kind = askableKinds.find((each) => each === yes.kind);
    return kind ? { kind, body: yes.body, at: one.at } : null;
  }
  if (one.is !== 'already' || one.telling.kind !== 'flushed' || one.isDoublePress) return null;
  const { done, telling, at } = one;
  const usual = { volumeMl: usualFlushMl(policy, line.patient.weightKg), usual: true };
  const volume = telling.body.volumeMl === undefined ? usual : {};
  return { kind: 'flushed', body: { ...telling.body, ...volume, again: done.entry }, at };
}
