import type { FailedTries } from '../domain/placing/failed-tries.ts';
import { checkTime, type Refusal } from '../domain/record/accept.ts';
import type { AppDeps } from './app-deps.ts';
import type { WardView } from './ports.ts';
import type { Intent } from './tell-lines.ts';
import { tellWard } from './tell-ward.ts';

export type TriesTold =
  /** `repeat`: this very press or submit was written before. */
  { is: 'taken' | 'repeat'; view: WardView } | { is: 'refused'; refusal: Refusal; view: WardView };

/** Takes tries that came to no line into the ward's own log; told at most a day late, as everything else is. */
export async function tellFailedTries(deps: AppDeps, intent: Intent, body: FailedTries): Promise<TriesTold> {
  const now = deps.clock.now();
  const refusal = checkTime(intent.at ?? now, now);
  if (refusal) return { is: 'refused', refusal, view: await deps.record.readWard(intent.wardId) };
  const told = await tellWard(deps, intent, { kind: 'triesFailed', body });
  return { is: told.is === 'repeat' ? 'repeat' : 'taken', view: told.view };
}
