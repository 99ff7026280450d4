import { isDeepStrictEqual } from 'node:util';
import type { Change } from '../../src/app/ports.ts';
import type { Outcome } from '../../src/app/record-on-lines.ts';
import { ownLine } from '../../src/domain/animal/animal.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import { foldWard } from '../../src/domain/ward/ward-state.ts';
import type { World } from './world.ts';

interface Acknowledged {
  wardId: string;
  line: string;
  number: number;
  entry: unknown;
}

/** Nothing that a person was told is recorded may be missing, nothing may be there twice, and what was said not to be is not. */
export class Kept {
  private readonly world: World;
  private readonly acknowledged: Acknowledged[] = [];
  private readonly wardDrafts: { wardId: string; number: number; kind: string }[] = [];
  private readonly placedLines: { wardId: string; line: string }[] = [];
  /** How often a change of each press was written. */
  private readonly written = new Map<string, number>();

  constructor(world: World) {
    this.world = world;
  }

  committed({ once }: Change): void {
    if (once === undefined || !once.startsWith('press')) return;
    const times = (this.written.get(once) ?? 0) + 1;
    this.written.set(once, times);
    if (times > 1) this.world.fails(`${once} was written ${times} times`);
  }

  linesTold(once: string, { ward, results: told, repeat }: Outcome): void {
    if (repeat && !this.written.has(once))
      this.world.fails(`${once} was answered "told before" and never was`);
    for (const one of told) {
      if (one.is !== 'taken') continue;
      this.world.tally.add('entries acknowledged');
      this.acknowledged.push({ wardId: ward.id, line: one.lineId, number: one.number, entry: one.entry });
    }
  }

  wardTold(wardId: string, number: number, kind: string): void {
    this.wardDrafts.push({ wardId, number, kind });
  }

  placed(wardId: string, line: string): void {
    this.placedLines.push({ wardId, line });
  }

  /** A person was told that this press was not recorded. */
  notWritten(once: string): void {
    if (this.written.has(once)) this.world.fails(`${once} was answered "not recorded" and was`);
  }

  async end(): Promise<void> {
    const { raw, wardIds, policy } = this.world;
    const logs = new Map<string, readonly unknown[]>();
    const logOf = async (wardId: string, line: string) => {
      const log = logs.get(line) ?? (await raw.readLog(wardId, line));
      logs.set(line, log);
      return log;
    };
    for (const { wardId, line, number, entry } of this.acknowledged) {
      this.world.tally.looksAt('kept');
      const there = (await logOf(wardId, line))[number - 1];
      if (!isDeepStrictEqual(there, entry))
        return this.world.fails(
          `entry ${number} of ${line} was acknowledged and is not in its log: ${JSON.stringify(entry)}`,
        );
    }
    for (const { wardId, line } of this.placedLines) {
      const log = await raw.readLog(wardId, line);
      if (log.length === 0) return this.world.fails(`line ${line} was acknowledged and has no log`);
      const state = await raw.readLine(wardId, line);
      if (!state || !isDeepStrictEqual(ownLine(state), ownLine(foldLine(line, log))))
        return this.world.fails(`the state of ${line} is not the fold of its log`);
    }
    for (const { wardId, number, kind } of this.wardDrafts)
      if ((await raw.readWardLog(wardId))[number - 1]?.kind !== kind)
        return this.world.fails(
          `entry ${number} of ${wardId}, ${kind}, was acknowledged and is not in its log`,
        );
    for (const wardId of wardIds) {
      const state = await raw.readWardState(wardId);
      if (!isDeepStrictEqual(state, foldWard(wardId, policy, await raw.readWardLog(wardId))))
        return this.world.fails(`the state of ${wardId} is not the fold of its log`);
    }
  }
}
