import type { AppDeps } from './app-deps.ts';
import { handoverPosts } from './handover-posts.ts';
import type { WardView } from './ports.ts';
import type { Intent } from './tell-lines.ts';
import { tellWard } from './tell-ward.ts';

/** Posts the handover of every line on the ward's list, now, on request. */
export async function handOver(deps: AppDeps, intent: Intent): Promise<WardView> {
  const { lines } = await deps.record.readWard(intent.wardId);
  if (lines.length === 0) return deps.record.readWard(intent.wardId);
  const forMs = deps.clock.now();
  const told = await tellWard(
    deps,
    intent,
    { kind: 'handedOver', body: { for: forMs, auto: false, lines: lines.length } },
    (view, now) => handoverPosts(view, forMs, now),
  );
  return told.view;
}

export type Acceptance =
  | { is: 'accepted'; view: WardView }
  | { is: 'accepted before'; by: string; at: number }
  | { is: 'an older one' };

/** The incoming nurse takes the ward over: from now on its lines are with them. */
export async function acceptHandover(deps: AppDeps, intent: Intent, forMs: number): Promise<Acceptance> {
  const { handovers } = await deps.record.readWardState(intent.wardId);
  const handover = handovers.find((one) => one.for === forMs);
  if (!handover) return { is: 'an older one' };
  if (handover.accepted) return { is: 'accepted before', ...handover.accepted };
  const told = await tellWard(deps, intent, { kind: 'handoverAccepted', body: { for: forMs } });
  return { is: 'accepted', view: told.view };
}
