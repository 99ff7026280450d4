import { type ActionValue, actionValue } from '../action-value.ts';
import type { Bot, Caller } from '../bot.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { room } from '../room.ts';
import { findLine } from '../typed/find-line.ts';
import { fitsVerb, lineVerb } from '../verbs/line-verbs.ts';

/** What a button does once it is said what was meant. */
export interface Meant {
  text: string;
  value: Omit<ActionValue, 'w'>;
}

/** Says what was wrong, with the button that does what was probably meant. */
export async function sayMeant(caller: Caller, message: string, meant: Meant | null): Promise<void> {
  const text = message;
  if (meant === null || (meant.value.x ?? '').length > room.typedAgain) return caller.say(text);
  const rest = meant.value.x ? ` ${meant.value.x}` : '';
  return caller.say(text, [
    paragraph(text),
    buttonRow('meant', [
      {
        action: 'done:meant',
        text: `Yes: ${meant.text}${rest}`,
        value: actionValue({ w: caller.wardId, ...meant.value }),
        primary: true,
      },
    ]),
  ]);
}

/** What a verb that was not spelt right would do, where that is plain: about one line, or with nothing after it. */
export async function verbMeant(
  bot: Bot,
  { wardId }: Caller,
  { suggestion: v, rest }: { suggestion?: string; rest?: string },
): Promise<Meant | null> {
  if (v === undefined || rest === undefined) return null;
  if (rest === '') return { text: v, value: { v } };
  const { lines } = await bot.deps.record.readWard(wardId);
  const spec = lineVerb(v);
  const found =
    spec &&
    findLine(
      rest,
      lines.filter((line) => fitsVerb(line, spec)),
      bot.command,
    );
  // A button carries ids: whom it is about must be known.
  return found?.is === 'one'
    ? { text: `${v} ${found.line.patient.name}`, value: { v, l: found.line.id, x: found.rest } }
    : null;
}
