/** Invisible signs that reorder, hide or join text unseen: bidirectional controls, zero-width signs, tags. */
const hidden =
  /[\u00AD\u061C\u180E\u200B\u200E\u200F\u202A-\u202E\u2060-\u206F\uFEFF\uFFF9-\uFFFB\u{E0000}-\u{E0FFF}]/gu;
const controls = /[\p{Cc}\u2028\u2029]+/gu;
/** More marks on one letter than any language in use writes; they would climb over the lines above. */
const heapedMarks = /(\p{M}{3})\p{M}+/gu;
const leading = /^[\p{M}\s\u200C\u200D]+/u;
const trailing = /[\s\u200C\u200D]+$/u;
/** Letters, digits, signs, emoji; not the blanks that scripts have besides the space. */
const seen = /(?![\u115F\u1160\u3164\uFFA0\u2800])[\p{L}\p{N}\p{P}\p{S}]/u;

/**
 * Text of people made fit for one line: control characters and line breaks become a space, signs that reorder or hide
 * text go, at most three marks stay on a letter. Letters of every script and emoji stay. Doing it twice changes nothing.
 */
export function cleanText(text: string): string {
  const shown = text.toWellFormed().replace(controls, ' ').replace(hidden, '').normalize('NFC');
  return shown.replace(heapedMarks, '$1').replace(/\s+/gu, ' ').replace(leading, '').replace(trailing, '');
}

/** Longest patient name that is kept, in UTF-16 units as the record counts it. */
export const longestName = 40;

/** A patient's name as it is kept, or what is wrong with it. */
export function patientName(typed: string): { name: string } | { problem: string } {
  const name = cleanText(typed);
  if (!seen.test(name))
    return { problem: 'No name was given. Write the patient’s name as on the cage card.' };
  if (name.length > longestName) {
    return {
      problem: `The name has ${name.length} characters; the most is ${longestName}. Shorten “${excerpt(name)}”.`,
    };
  }
  return { name };
}

/** The beginning of what was typed, for quoting it back: at most `most` characters, never half an emoji. */
export function excerpt(text: string, most = 40): string {
  const clean = cleanText(text);
  if (clean.length <= most) return clean;
  return `${cleanText(clean.slice(0, most - 1).replace(/[\uD800-\uDBFF]$/u, ''))}…`;
}
