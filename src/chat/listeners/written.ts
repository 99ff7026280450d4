import type { WardView } from '../../app/ports.ts';
import { type OwnLine, ownLines } from '../../domain/ward/mine.ts';
import { lineWords } from '../../wording/care/line-words.ts';
import { place } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import type { Bot } from '../bot.ts';
import { mineParts } from '../messages/mine-list.ts';
import { type ButtonOf, buttonRow, type Message, paragraph } from '../parts.ts';
import { parseCommand } from '../typed/parse-command.ts';
import { channelOf } from '../ward-id.ts';

/** What somebody wrote to the bot, and the wards they may record anything of. */
export interface Written {
  user: string;
  /** Plain text, without the mention of the bot. */
  text: string;
  wardIds: readonly string[];
  /** By direct message; else mentioned in a ward's channel. */
  isDirect: boolean;
}

const donePattern =
  /^(?:it(?:[’']s| is) )?(?:all |just )?(?:done|did (?:it|that)|finished|flushed|zeroed)\b/iu;
const outPattern = /\b(?:(?:taken|took|pulled|is|it[’']s|came|line) out|removed|pulled)\b|^out$/iu;

/** Wards and lines that one answer shows. */
const mostWards = 3;
const mostLines = 8;
/** Duties' lines of one ward in an answer. */
const linesShown = 5;

/**
 * The answer to a message. Nothing is recorded from free words: what they seem to say is asked back, with the button that records
 * it; else what the bot can do there.
 */
export async function writtenAnswer(bot: Bot, written: Written): Promise<Message> {
  const { record, clock } = bot.deps;
  const now = clock.now();
  const words = written.text.trim();
  const wards = await Promise.all(
    written.wardIds.slice(0, mostWards).map(async (wardId) => {
      const view = await record.readWard(wardId);
      return { view, own: ownLines(view.ward, view.lines, written.user, now) };
    }),
  );
  if (wards.length > 0 && outPattern.test(words)) return outAnswer(wards);
  if (wards.length > 0 && donePattern.test(words)) return doneAnswer(bot, wards, now);
  return whatCanBeDone(bot, written, words);
}

interface OfWard {
  view: WardView;
  own: OwnLine[];
}

const notRecorded = 'Not recorded yet: I don’t record from messages.';

/** “Done”: of what is due of their lines, with its buttons. */
async function doneAnswer(bot: Bot, wards: readonly OfWard[], now: number): Promise<Message> {
  const due = wards.filter(({ own }) => own.some((one) => one.now.length > 0));
  if (due.length === 0) {
    const text =
      'Not recorded: nothing is due on your lines now. If you did something else, record it on the line’s card, or with /artline in the ward’s channel.';
    return { lead: text, parts: [paragraph(text)], settled: true };
  }
  const count = due.flatMap(({ own }) => own.flatMap((one) => one.now)).length;
  const text = `${notRecorded} ${count === 1 ? 'Is it this? Press it.' : 'Which of these? Press what you did.'}`;
  const parts = await Promise.all(
    due.map(({ view, own }) =>
      mineParts(
        own.filter((one) => one.now.length > 0).map((one) => ({ ...one, next: null })),
        view,
        bot.names,
        now,
        linesShown,
      ),
    ),
  );
  return { lead: text, parts: [paragraph(text), ...parts.flat()], settled: true };
}

/** “Taken out”: of which line, with the form that records it. */
function outAnswer(wards: readonly OfWard[]): Message {
  const isIn = wards.flatMap(({ view, own }) =>
    own.filter(({ line }) => line.removed === null).map(({ line }) => ({ wardId: view.ward.id, line })),
  );
  const [only] = isIn;
  if (!only) {
    const text =
      'Not recorded: none of your lines is in. If you took out somebody else’s, press “Taken out” on its card, or type /artline remove in the ward’s channel.';
    return { lead: text, parts: [paragraph(text)], settled: true };
  }
  const shown = isIn.slice(0, mostLines);
  const names = shown.map(({ line }) => lineWords(line)).join('; ');
  const text =
    isIn.length === 1
      ? `${notRecorded} Is ${names} out? Press it and say how.`
      : `${notRecorded} Which line is out? ${names}.`;
  const buttons = shown.map(
    ({ wardId, line }): ButtonOf => ({
      action: `open:remove:${line.id}`,
      text: `${line.patient.name}: taken out…`,
      value: actionValue({ w: wardId, l: line.id, v: 'remove' }),
      primary: isIn.length === 1,
    }),
  );
  return { lead: text, parts: [paragraph(text), buttonRow('out', buttons)], settled: true };
}

/** What the bot can do here, and where things are recorded. */
function whatCanBeDone({ command }: Bot, { wardIds, isDirect }: Written, words: string): Message {
  const places = wardIds.slice(0, mostWards).map((wardId) => place(channelOf(wardId)));
  const where = isDirect
    ? places.length === 0
      ? 'in your ward’s channel'
      : `in ${places.join(' or ')}`
    : 'here';
  const typed = words.replace(new RegExp(`^${command}\\s*`), '');
  const isVerb = typed !== '' && parseCommand(typed, command).is === 'verb';
  const how = isVerb
    ? `Type it ${where} as ${command} ${typed.slice(0, 100)}`
    : `To record or ask something, type ${command} ${where}`;
  const here =
    places.length === 0
      ? 'You aren’t in any ward channel I look after. Ask somebody to invite you.'
      : isDirect
        ? 'Here I send you what’s late, with its buttons; Home shows your lines and what’s due.'
        : 'The cards and reminders here have their buttons.';
  const text = `Not recorded: I don’t record from messages. ${how}. ${here}`;
  const [first] = wardIds;
  const buttons: ButtonOf[] =
    first === undefined
      ? []
      : [
          { action: 'open:mine', text: 'Mine, due now', value: actionValue({ w: first }) },
          { action: 'open:help', text: 'Help', value: actionValue({ w: first }) },
        ];
  return {
    lead: text,
    parts: [paragraph(text), ...(buttons.length > 0 ? [buttonRow('written', buttons)] : [])],
    settled: true,
  };
}
