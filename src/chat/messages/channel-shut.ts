import type { Post, WardView } from '../../app/ports.ts';
import { dutiesOfLine, owedLines } from '../../domain/duties/duties-of-line.ts';
import { calledAt } from '../../domain/ladder/people.ts';
import type { ShutReason } from '../../domain/ward/channel.ts';
import { nurseFor, onCallFor } from '../../domain/ward/on-call.ts';
import { clockText, lineWords } from '../../wording/care/line-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { place, rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { buttonRow, type Message, paragraph, paragraphs } from '../parts.ts';
import { channelOf } from '../ward-id.ts';
import { isOpen, itemsOf, lateWords } from './asked-items.ts';
import { byLine } from './nudge.ts';

/** Lines of a message that say what is due; the rest are counted. */
const mostRows = 15;

/**
 * To one person, for as long as nothing can be posted in the ward's channel: why, what to do about it, and what the channel would
 * show. It is rewritten as that changes, and says so when the channel is back.
 */
export async function channelShutMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const { ward, lines } = view;
  const channel = place(channelOf(ward.id));
  const shut = ward.channelShut;
  if (shut === null || shut.at !== post.about?.from) {
    const at = ward.channelOpenedAt ?? now;
    const text = `${channel} has been back since ${clockText(ward.policy, at, now)}: reminders, cards and handovers are there again.`;
    return { lead: text, parts: [paragraph(text)], settled: true };
  }
  const since = clockText(ward.policy, shut.at, now);
  const { is, mend } = shutWords(shut.why, channel);
  const head = `${is}: I can’t post there since ${since}. ${mend} Until then nurses are reminded by direct message.`;
  const owed = owedLines(lines, ward.policy, now);
  const asked = owed.flatMap((line) =>
    dutiesOfLine(line, ward.policy, now)
      .filter(({ dueAt }) => dueAt <= now)
      .map(({ lineId, kind, dueAt }) => ({ lineId, kind, dueAt })),
  );
  const open = itemsOf({ ...post, asked, at: now }, view, now).filter(isOpen);
  const rows = await Promise.all(
    [...byLine(open)].map(async ([line, mine]) => {
      const who = await whoWords(nurseFor(ward, line, now), names);
      return `${lineWords(line)}: ${lateWords(mine, now, view)}, with ${who}`;
    }),
  );
  const more = rows.length > mostRows ? [`and ${rows.length - mostRows} more lines`] : [];
  const due = [...rows.slice(0, mostRows), ...more];
  const called = calledAt(ward, now);
  const onCall = onCallFor(ward, now);
  const nobody =
    called !== null
      ? []
      : onCall === null
        ? ['NOBODY IS ON CALL.']
        : [`NOBODY CAN BE CALLED: ${await whoWords(onCall, names)} is on call and can’t be reached.`];
  const isDue = due.length === 0 ? 'Nothing is due now.' : 'Due now:';
  const value = actionValue({ w: ward.id });
  return {
    lead: [head, ...nobody, `${isDue}${due.length === 0 ? '' : ` ${due.join('. ')}.`}`].join(' '),
    parts: [
      paragraph(rich`*${head}*`),
      ...nobody.map((text) => paragraph(rich`*${text}*`)),
      ...paragraphs([isDue, ...due.map((row) => `• ${row}`)]),
      buttonRow('shut', [
        { action: 'open:handover:ward:paper', text: 'Handover on paper…', value },
        ...(called === null ? [{ action: 'open:oncall', text: 'Put somebody on call…', value }] : []),
      ]),
    ],
    settled: false,
  };
}

/** What happened to the channel, and what somebody must do about it. */
function shutWords(why: ShutReason, channel: string): { is: string; mend: string } {
  switch (why) {
    case 'archived':
      return { is: `${channel} is archived`, mend: 'Unarchive it, and invite me if I’m not in it.' };
    case 'removed':
      return { is: `I was taken out of ${channel}`, mend: 'Invite me back there.' };
    case 'not found':
      return {
        is: `${channel} was deleted, or I was taken out of it`,
        mend: 'Invite me back; if it’s gone, invite me to another channel and register each line there.',
      };
    case 'uninstalled':
      return {
        is: 'I was taken out of this workspace',
        mend: 'Have me installed again, then invite me back.',
      };
    case 'not allowed':
      return { is: `I’m not allowed to post in ${channel}`, mend: 'Let apps post there again.' };
  }
}
