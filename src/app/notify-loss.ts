import type { Clock } from './clock.ts';
import { noticePost } from './notice-post.ts';
import type { WardRecord, Watch } from './ports.ts';
import type { Loss } from './unshrinking-record.ts';

/**
 * Tells a ward what its record has lost, once however many processes find it. `record` is the one underneath: the one that
 * watches refuses until this is done.
 */
export async function notifyLoss(
  { record, clock, watch }: { record: WardRecord; clock: Clock; watch: Watch },
  loss: Loss,
): Promise<void> {
  const { wardId } = loss;
  const now = clock.now();
  watch.trouble('the record lost entries that people were told were recorded', {
    wardId,
    entries: entriesLost(loss),
  });
  const text = lossWords(loss);
  // What was lost names it: two processes that find the same say it once.
  const what = [loss.ward, ...loss.lines.map(({ id, had, has }) => `${id}.${had}.${has}`)].join(',');
  await record.commit(wardId, {
    once: `lost|${what}`,
    lines: [],
    wakes: {},
    posts: [noticePost(`0.lost.${now.toString(36)}`, 'ward', now, { what: 'lost entries', text })],
    touchAll: true,
  });
}

function entriesLost({ ward, lines }: Loss): number {
  return lines.reduce((sum, { had, has }) => sum + had - has, ward);
}

/** What is gone, as the ward reads it. */
export function lossWords({ ward, lines }: Loss): string {
  const entries = (count: number) => `${count} ${count === 1 ? 'entry' : 'entries'}`;
  const gone = lines.map(({ name, had, has }) =>
    has === 0 ? `${name}: the whole line` : `${name}: ${entries(had - has)}`,
  );
  const own = ward === 0 ? [] : [`the ward’s own record (policy, on call, handovers): ${entries(ward)}`];
  return `The record has LOST what was recorded last, because a server failed before its copy was up to date. Missing: ${[...gone, ...own].join('; ')}. Check these cards against the patient and your paper, and record again what’s missing.`;
}
