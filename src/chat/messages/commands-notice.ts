import type { Post, WardView } from '../../app/ports.ts';
import { clockText } from '../../wording/care/line-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { type Message, paragraph } from '../parts.ts';

/** To the ward: buttons and commands are not taken, what to do meanwhile, and once it is over when it was. */
export function commandsLostMessage(post: Post, { ward }: WardView, now: number): Message {
  const from = post.about?.for ?? post.at;
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const { commandsLost } = ward;
  const isOver = commandsLost === null || commandsLost.from !== from || commandsLost.backAt !== null;
  if (isOver) {
    const until =
      commandsLost?.from === from && commandsLost.backAt !== null ? ` to ${clock(commandsLost.backAt)}` : '';
    const text = `Buttons and commands didn’t work from ${clock(from)}${until}. They work again.`;
    return { lead: text, parts: [paragraph(text)], settled: true };
  }
  const head = `Buttons and commands DON’T WORK, since ${clock(from)}.`;
  const rest =
    'Reminders still come. Do what’s due, write it on paper with the time, and record it when they work again; I’ll say so here.';
  return { lead: `${head} ${rest}`, parts: [paragraph(rich`*${head}* ${rest}`)], settled: false };
}

/** To the ward: they work again, and what was done meanwhile is still to be recorded. */
export function commandsBackMessage({ about, at }: Post, { ward }: WardView, now: number): Message {
  const clock = (atMs: number) => clockText(ward.policy, atMs, now);
  const text = `Buttons and commands work again. Record now what was done since ${clock(about?.for ?? at)}, each with its time: for example /artline flush NAME at ${clock(about?.for ?? at)}. What isn’t recorded still counts as due.`;
  return { lead: text, parts: [paragraph(text)], settled: true };
}
