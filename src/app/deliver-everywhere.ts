import type { JobDeps } from './app-deps.ts';
import { deliverPosts } from './deliver-posts.ts';

/** Sends what waits on every ward, all wards beside one another: one whose messages hang holds up no other. */
export async function deliverEverywhere(deps: JobDeps): Promise<void> {
  const { record, watch } = deps;
  const wardIds = await record.wardIds();
  await Promise.all(
    wardIds.map((wardId) =>
      // As a rule nothing waits: the look for it gives way to what was called for.
      deliverPosts(deps, wardId, 'check').catch((cause: unknown) =>
        watch.trouble('the messages of a ward couldn’t be sent', { wardId }, cause),
      ),
    ),
  );
}
