import { drawn, type Look, withoutMarks } from '../../wording/rich-text.ts';
import { shorten } from '../../wording/shorten.ts';

/** Makes letters safe in mrkdwn: no mention, link or broadcast can be written with them. */
export function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;');
}

/** What people typed: the platform's own escaping undone, and nothing in it that could be taken for a mark of ours. */
export function asWritten(text: string): string {
  return withoutMarks(text.replaceAll('&lt;', '<').replaceAll('&gt;', '>').replaceAll('&amp;', '&'));
}

const mrkdwnLook: Look = {
  letters: escaped,
  bold: ['*', '*'],
  italic: ['_', '_'],
  typed: ['`', '`'],
  quote: '> ',
  person: (user) => `<@${user}>`,
  place: (channel) => `<#${channel}>`,
  link: (url, words) => `<${url}|${words}>`,
};

/** Where text is plain, marks would show: people stand as they do where their names are not known. */
const plainLook: Look = {
  ...mrkdwnLook,
  letters: (text) => text,
  bold: ['', ''],
  italic: ['', ''],
  typed: ['', ''],
  quote: '',
  link: (_url, words) => words,
};

/** Rich text as the platform draws it. */
export function mrkdwn(text: string): string {
  return drawn(text, mrkdwnLook);
}

/** Rich text where the platform takes plain text only. */
export function plainText(text: string): string {
  return drawn(text, plainLook);
}

/** What must stay whole in mrkdwn: an escape such as `&amp;`, and what stands in angle brackets (mention, date, link). */
const whole = /&(?:amp|lt|gt);|<[^<>\n]{1,400}>/g;

/** Mrkdwn in at most `max` UTF-16 units; never cuts an escape or a mention. */
export function shortMrkdwn(text: string, max: number): string {
  return shorten(text, max, whole);
}
