import { wallClockWithDay } from '../domain/shifts/wall-clock.ts';

/** Makes text that came from people safe in mrkdwn: no mention, link or broadcast can be written with it. */
export function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}

/** Undoes the platform's own escaping of what people typed; done once, at the door. */
export function unescaped(text: string): string {
  return text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&');
}

/** A mention that notifies: use it only for whom the message is meant. */
export function mention(user: string): string {
  return `<@${user}>`;
}

/** An instant as the reader's own clock shows it, with the ward's wall clock as the fallback. Only in mrkdwn. */
export function timeToken(atMs: number, zone: string, format = '{time}'): string {
  return `<!date^${Math.floor(atMs / 1000)}^${format}|${escaped(wallClockWithDay(zone, atMs))}>`;
}
