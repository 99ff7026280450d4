import type { LineState } from '../domain/record/line-state.ts';
import type { Post } from './ports.ts';

/** Patients to a message: what stays well inside the platform's size of one. */
const linesAPage = 5;

/**
 * The messages of one handover: pages of patients, then a last one that is accepted. `forMs`: the shift start it is for,
 * or the instant it was asked for; it tells handovers apart.
 */
export function handoverPosts(lines: readonly LineState[], forMs: number, now: number): Post[] {
  const ordered = lines.toSorted(
    (a, b) => a.patient.name.localeCompare(b.patient.name, 'en') || a.placed.at - b.placed.at,
  );
  const pages: LineState[][] = [];
  for (let start = 0; start < ordered.length; start += linesAPage)
    pages.push(ordered.slice(start, start + linesAPage));
  const stamp = forMs.toString(36);
  const post = (page: string, ids: string[], about: Post['about']): Post => ({
    key: `3.handover.${stamp}.${page}`,
    kind: 'handover',
    to: 'ward',
    lines: ids,
    asked: [],
    at: now,
    ...(about ? { about } : {}),
  });
  return [
    ...pages.map((page, index) =>
      post(
        String(index).padStart(3, '0'),
        page.map(({ id }) => id),
        { what: 'patients', for: forMs, page: index + 1, pages: pages.length },
      ),
    ),
    post('999', ordered.map(({ id }) => id).slice(0, 400), {
      what: 'accept',
      for: forMs,
      pages: pages.length,
    }),
  ];
}
