/**
 * The chat platform's limits that we must keep, in UTF-16 units where they count text.
 * Source: Slack Block Kit reference and method pages at docs.slack.dev; where two pages differ, the smaller.
 */
export const limits = {
  sectionText: 3000,
  headerText: 150,
  contextElements: 10,
  buttonText: 75,
  buttonValue: 2000,
  /** Our own: lines whose entries one button takes back. */
  takenBack: 60,
  /** Our own: duties that one button tells done. */
  doneTogether: 60,
  /** Our own: characters of what was typed that a button does once it is said what was meant. */
  typedAgain: 300,
  optionText: 75,
  optionValue: 75,
  selectOptions: 100,
  optionGroups: 100,
  groupLabel: 75,
  choiceOptions: 10,
  placeholder: 150,
  label: 2000,
  hint: 2000,
  typedText: 3000,
  modalTitle: 24,
  modalButton: 24,
  modalBlocks: 100,
  privateMetadata: 3000,
} as const;

const graphemes = new Intl.Segmenter('en', { granularity: 'grapheme' });
/** What must stay whole: an escape such as `&amp;`, and what stands in angle brackets (mention, date, link). */
const whole = /&(?:amp|lt|gt);|<[^<>\n]{1,400}>/g;

/**
 * `text` in at most `max` UTF-16 units, with an ellipsis where something was cut off. Never cuts inside a letter with
 * its marks, an emoji, an escape or a mention.
 *
 * Example: `shorten('Fast-flush test: Biscuit Junior', 24)` → `Fast-flush test: Biscui…`.
 */
export function shorten(text: string, max: number): string {
  if (text.length <= max) return text;
  if (max < 1) return '';
  // Pieces after the first `max` units cannot fit; looking no further keeps long text cheap.
  let kept = '';
  for (const piece of pieces(text.slice(0, max + 500))) {
    if (kept.length + piece.length + 1 > max) break;
    kept += piece;
  }
  return `${kept.trimEnd()}…`;
}

function* pieces(text: string): Generator<string> {
  let from = 0;
  for (const match of text.matchAll(whole)) {
    for (const { segment } of graphemes.segment(text.slice(from, match.index))) yield segment;
    yield match[0];
    from = match.index + match[0].length;
  }
  for (const { segment } of graphemes.segment(text.slice(from))) yield segment;
}
