import type { Change, Composed, Post, WardView } from '../../src/app/ports.ts';
import { InTime } from './in-time.ts';
import { Kept } from './kept.ts';
import type { Shown } from './platform-model.ts';
import { Reported } from './reported.ts';
import { Standing } from './standing.ts';
import type { World } from './world.ts';

/** All that a run is held to. The first promise that is broken ends it. */
export class Checks {
  readonly kept: Kept;
  readonly standing: Standing;
  readonly inTime: InTime;
  readonly reported: Reported;

  constructor(world: World) {
    this.kept = new Kept(world);
    this.standing = new Standing(world);
    this.inTime = new InTime(world, this.standing);
    this.reported = new Reported(world);
  }

  committed(wardId: string, change: Change, view: WardView): void {
    this.kept.committed(change);
    this.standing.committed(wardId, change);
    this.inTime.committed(wardId, change, view);
  }

  composed(wardId: string, post: Post, { superseded }: Composed): void {
    if (superseded) this.standing.letGo(wardId, post.key);
  }

  refused(wardId: string, post: Post): void {
    this.standing.letGo(wardId, post.key);
  }

  came(message: Shown): void {
    this.standing.came(message);
  }

  trouble(what: string, ids: Readonly<Record<string, string | number>>): void {
    if (what.startsWith('a message that may stand is sent again'))
      this.standing.mayComeTwice(String(ids.wardId), String(ids.key));
    if (ids.reason === 'no_reader') this.standing.letGo(String(ids.wardId), String(ids.key));
  }
}
