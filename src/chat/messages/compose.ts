import type { Post, WardView } from '../../app/ports.ts';
import { withoutLines } from '../../domain/handover/shift-handover.ts';
import type { Names } from '../../wording/names.ts';
import { type Message } from '../parts.ts';
import { cardMessage } from './card.ts';
import { channelShutMessage } from './channel-shut.ts';
import { commandsBackMessage, commandsLostMessage } from './commands-notice.ts';
import {
  backMessage,
  calledOffMessage,
  coverMessage,
  coverOverMessage,
  givenMessage,
  standInMessage,
} from './cover-notice.ts';
import { decidedMessage, toDecideMessage } from './decision-notice.ts';
import { escalationMessage } from './escalation.ts';
import { fileLostMessage, handoverFirst, handoverMore, handoverVisits } from './handover.ts';
import { handoverDetails } from './handover-details.ts';
import {
  nobodyAnsweredMessage,
  nobodyOnCallMessage,
  plainNotice,
  unacceptedMessage,
  unreachedMessage,
  wasDownMessage,
} from './notice.ts';
import { nudgeMessage } from './nudge.ts';
import { offCallMessage, onCallBackMessage, onCallMessage, onCallSetMessage } from './on-call-notice.ts';
import { policyMessage } from './policy-notice.ts';
import { setUpMessage } from './set-up.ts';

/** The words and buttons of a post, from the record as it is now. */
export async function composeMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const what = post.about?.what;
  switch (post.kind) {
    case 'card': {
      const line = view.lines[0];
      return line
        ? cardMessage(line, view, names, now)
        : { lead: 'This line is not on record.', parts: [], settled: true };
    }
    case 'nudge':
      return nudgeMessage(post, view, names, now);
    case 'escalation':
      return escalationMessage(post, view, names, now);
    case 'handover':
      return handoverMessage(post, view, names);
    case 'notice':
      if (what === 'nobody answered') return nobodyAnsweredMessage(post, view, names, now);
      if (what === 'nobody on call') return nobodyOnCallMessage(post, view, names, now);
      if (what === 'handover not accepted') return unacceptedMessage(post, view, now);
      if (what === 'unreached') return unreachedMessage(post, view, names, now);
      if (what === 'channel shut') return channelShutMessage(post, view, names, now);
      if (what === 'was down') return wasDownMessage(post, view, names, now);
      if (what === 'commands lost') return commandsLostMessage(post, view, now);
      if (what === 'commands back') return commandsBackMessage(post, view, now);
      if (what === 'policy') return policyMessage(post, view, names);
      if (what === 'set up') return setUpMessage(view, names, now);
      if (what === 'on call') return onCallMessage(post, view, names, now);
      if (what === 'on call set') return onCallSetMessage(post, view, names);
      if (what === 'on call back') return onCallBackMessage(post, view, names);
      if (what === 'off call') return offCallMessage(post, view, names, now);
      if (what === 'decided') return decidedMessage(post, view, names);
      if (what === 'to decide') return toDecideMessage(post, view, names);
      if (what === 'given') return givenMessage(post, view, names, now);
      if (what === 'cover') return coverMessage(post, view, names);
      if (what === 'stands in' || what === 'covered') return standInMessage(post, view, names, now);
      if (what === 'cover over') return coverOverMessage(post, view, names, now);
      if (what === 'called off') return calledOffMessage(post, view, names);
      if (what === 'back') return backMessage(post, view, names);
      return plainNotice(post);
    case 'report':
      return plainNotice(post);
  }
}

async function handoverMessage(post: Post, view: WardView, names: Names): Promise<Message> {
  if (!view.handedOver) throw new Error(`post ${post.key}: a handover was not read`);
  // Of a line that was registered in error since, there’s nothing to hand over.
  const never = view.lines.filter(({ inError }) => inError !== null).map(({ id }) => id);
  const handedOver = withoutLines(view.handedOver, new Set(never));
  const what = post.about?.what;
  if (what === 'more') return handoverMore(post, handedOver, names);
  if (what === 'patients') return handoverDetails(post, handedOver, names);
  if (what === 'rounds') return handoverVisits(post, handedOver, names);
  if (what === 'file lost') return fileLostMessage(post);
  return handoverFirst(post, view, handedOver, names);
}
