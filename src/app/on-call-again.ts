import { calledAgain } from '../domain/ward/on-call.ts';
import type { JobDeps } from './app-deps.ts';
import { onCallAgainPosts } from './on-call-posts.ts';
import type { WardView } from './ports.ts';

/**
 * A shift began for which the rota names nobody, so that somebody who was put on call before is called again: once, to the ward and
 * to them. How it's told is the same whenever it's asked for, and the record takes it once.
 */
export async function tellOnCallAgain(
  { record, alarm }: JobDeps,
  { ward, lines }: WardView,
  now: number,
): Promise<void> {
  const again = lines.length === 0 ? null : calledAgain(ward, now);
  if (again === null) return;
  const once = `oncallagain.${again.fromMs.toString(36)}`;
  const posts = onCallAgainPosts(ward, again, now);
  const committed = await record.commit(ward.id, { once, lines: [], wakes: {}, posts });
  if (committed.is === 'written') await alarm.postsWaiting(ward.id);
}
