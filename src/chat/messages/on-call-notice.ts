import type { Post, WardView } from '../../app/ports.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { standInFor } from '../../domain/ward/cover.ts';
import { onCallFor, type Responsible } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { clockText } from '../../wording/care/line-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { type Message, paragraph } from '../parts.ts';
import { backWords } from './cover-notice.ts';
import { wardPlace } from './ward-place.ts';

/** To whoever was put on call: what that means here, for as long as they are. */
export async function onCallMessage(post: Post, view: WardView, names: Names, now: number): Promise<Message> {
  const by = await names.of(post.about?.user ?? 'bot');
  const onCall = onCallFor(view.ward, now);
  const isTheirs = post.to !== 'ward' && (onCall?.insteadOf ?? onCall?.user) === post.to.user;
  if (post.to !== 'ward' && !isTheirs && onCall?.user !== post.to.user) {
    const text = `You were on call for the arterial lines of ${wardPlace(view)} from ${clockText(view.ward.policy, post.at, now)}, set by ${by}. ${await onCallNow(onCall, names)}`;
    return { lead: text, parts: [paragraph(text)], settled: true };
  }
  if (onCall?.insteadOf && isTheirs) {
    const text = `You are on call for the arterial lines of ${wardPlace(view)}, set by ${by}, and away: ${await names.of(onCall.user)} gets your calls. ${backWords}`;
    return { lead: text, parts: [paragraph(text)], settled: false };
  }
  const instead = onCall?.insteadOf ? ` for ${await names.of(onCall.insteadOf)}, who is away,` : '';
  const again = post.about?.from === undefined ? '' : ' The rota names nobody for this shift.';
  const text = `You are on call${again && ' again'}${instead} for the arterial lines of ${wardPlace(view)} now, set by ${by}.${again} Overdue duties, findings and line faults come to you here. “I take it” keeps the next reminder off for ${view.ward.policy.claimMin} min.`;
  const isOlder = (view.ward.onCallSet?.at ?? 0) > post.at;
  return { lead: text, parts: [paragraph(text)], settled: isOlder };
}

/** To the ward: who was put on call, and by whom. */
export async function onCallSetMessage(post: Post, { ward }: WardView, names: Names): Promise<Message> {
  const set = post.about?.text ?? 'bot';
  const user = standInFor(ward.covers, set, post.at);
  const who = await whoWords({ user, insteadOf: user === set ? null : set }, names);
  const by = await names.of(post.about?.user ?? 'bot');
  const text = `${againWords(post, ward)}On call now: ${who}, set ${setAt(post, ward)}by ${by}.`;
  // Where it waited until another was set, it is no news any more.
  const superseded = (ward.onCallSet?.at ?? 0) > post.at;
  return { lead: text, parts: [paragraph(text)], settled: true, superseded };
}

/** `The rota names nobody for day. `, where somebody is on call again by what was set before. */
function againWords({ about }: Post, { policy }: WardState): string {
  return about?.for === undefined || about.from === undefined
    ? ''
    : `The rota names nobody for ${shiftAt(policy.shifts, about.for).name}. `;
}

function setAt({ about, at }: Post, { policy }: WardState): string {
  return about?.from === undefined ? '' : `${clockText(policy, about.from, at)} `;
}

/** To the ward: who was put on call is not, since that was taken back, and who is. */
export async function onCallBackMessage(
  { about, at }: Post,
  { ward }: WardView,
  names: Names,
): Promise<Message> {
  const [by, set] = await Promise.all([names.of(about?.user ?? 'bot'), names.of(about?.text ?? 'bot')]);
  const text = `${by} took back that ${set} is on call. ${await onCallNow(onCallFor(ward, at), names)}`;
  return { lead: text, parts: [paragraph(text)], settled: true };
}

/** To whoever was on call until somebody else was set. */
export async function offCallMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const by = await names.of(post.about?.user ?? 'bot');
  const at = clockText(view.ward.policy, post.at, now);
  const isOnCallAgain = post.to !== 'ward' && onCallFor(view.ward, now)?.user === post.to.user;
  const text = `You were taken off call for the arterial lines of ${wardPlace(view)} at ${at}, by ${by}. ${await onCallNow(onCallFor(view.ward, now), names)}`;
  return { lead: text, parts: [paragraph(text)], settled: true, superseded: isOnCallAgain };
}

async function onCallNow(who: Responsible | null, names: Names): Promise<string> {
  return who === null ? 'Nobody is on call now.' : `On call now: ${await whoWords(who, names)}.`;
}
