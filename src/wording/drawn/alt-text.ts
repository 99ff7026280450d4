/** Most characters of alternative text that a chat platform takes. */
export const mostAltText = 1_000;

/**
 * A picture in words: what it shows, its figures, what else is to be said. Figures that find no room are counted at the end
 * of them, so that nobody takes the list for whole.
 */
export function altTextOf(shows: string, figures: readonly string[], also: readonly string[] = []): string {
  for (let kept = figures.length; ; kept -= 1) {
    const left = figures.length - kept;
    const list = [...figures.slice(0, kept), ...(left > 0 ? [`and ${left} more in the picture`] : [])];
    const text = [`${shows}${list.length > 0 ? `: ${list.join('; ')}` : ''}.`, ...also].join(' ');
    if (text.length <= mostAltText) return text;
    if (kept === 0) return `${text.slice(0, mostAltText - 1)}…`;
  }
}
