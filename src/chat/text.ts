import { shorten } from './limits.ts';

/** Makes text that came from people safe in mrkdwn: no mention, link or broadcast can be written with it. */
export function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}

/** Undoes the platform's own escaping of what people typed; done once, at the door. */
export function unescaped(text: string): string {
  return text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&');
}

/** Longest reason or note that a message repeats, as it is sent. */
const quotedMax = 120;

/** What somebody wrote, in quotes and safe in mrkdwn; its beginning where it is long. */
export function quoted(text: string): string {
  return `“${shorten(escaped(text), quotedMax)}”`;
}

/** A mention that notifies: use it only for whom the message is meant. */
export function mention(user: string): string {
  return `<@${user}>`;
}
