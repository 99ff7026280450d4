import type { Post, WardView } from '../../app/ports.ts';
import { lineWords } from '../../wording/care/line-words.ts';
import { cautionsWords } from '../../wording/care/screening-words.ts';
import type { Names } from '../../wording/names.ts';
import { quoted } from '../../wording/shorten.ts';
import { type Message, paragraph } from '../parts.ts';
import { wardPlace } from './ward-place.ts';

/**
 * To the clinician whom somebody else named as having decided to place a line, or to leave it in, in spite of a caution.
 */
export async function decidedMessage(post: Post, view: WardView, names: Names): Promise<Message> {
  const line = view.lines.find(({ id }) => id === post.lines[0]);
  const by = await names.of(post.about?.user ?? 'bot');
  const screening = line?.screening;
  const isLater = line !== undefined && post.at > line.knownSince;
  const where = wardPlace(view);
  const did = isLater
    ? `put the cautions of ${lineWords(line)} on ${where} right`
    : `registered ${line ? lineWords(line) : 'a line'} on ${where}`;
  const text =
    line && screening?.override
      ? `${by} ${did} and names you as the clinician who decided to ${isLater ? 'leave it in' : 'place it'} (${cautionsWords(screening)}): ${quoted(screening.override.reason)}. If you did not decide this, call the ward now: the line is in.`
      : `${by} named you as having decided to place a line on ${where}. It is not on record any more.`;
  return { lead: text, parts: [paragraph(text)], settled: true };
}

/** To the clinician on call: a caution was found once the line was in, and the ward wants a decision on it. */
export async function toDecideMessage(post: Post, view: WardView, names: Names): Promise<Message> {
  const line = view.lines.find(({ id }) => id === post.lines[0]);
  const by = await names.of(post.about?.user ?? 'bot');
  const undecided = line && !line.removed && !line.inError ? line.screening?.undecided : undefined;
  const text =
    line && undecided
      ? `${by} recorded a reason against ${lineWords(line)} on ${wardPlace(view)}, which is in: ${undecided.join(', ')}. The ward wants a clinician’s decision: leave it in, or have it taken out? Left in, it is recorded with /artline amend, the placing: who decided and why.`
      : `${line ? lineWords(line) : 'A line'} on ${wardPlace(view)}: decided since, or taken out.`;
  return { lead: text, parts: [paragraph(text)], settled: !undecided };
}
