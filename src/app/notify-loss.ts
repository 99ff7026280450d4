import { lossWords } from '../wording/notices/lost-entries.ts';
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
