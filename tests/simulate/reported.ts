import { owedLines } from '../../src/domain/duties/duties-of-line.ts';
import { minutes } from './standing.ts';
import type { World } from './world.ts';

const minuteMs = 60_000;
/** A silence longer than this is told of, ms: the bot's own bound, the sweep before and the one after. */
const silenceToldMs = 3.5 * minuteMs;
/** From the end of a silence to the word of it, ms. */
const toldWithinMs = 3 * minuteMs;
/** The platform speaks for a bot that is silent this long, ms: 15 min after it was last told that all is well, each 4 min. */
const lastWordWithinMs = 21 * minuteMs;
/** It never speaks for one that was up so long before, ms. */
const upMs = 12 * minuteMs;

/** What could not be told in time is reported, by the bot afterwards and by the platform meanwhile; and nothing else is. */
export class Reported {
  private readonly world: World;
  private readonly spoken: { wardId: string; at: number }[] = [];

  constructor(world: World) {
    this.world = world;
  }

  lastWord(wardId: string): void {
    const { wire, weather } = this.world;
    const at = wire.time.now;
    this.spoken.push({ wardId, at });
    if (weather.countsFrom(at - upMs, at) === at - upMs)
      this.world.fails(`the platform said that reminders on ${wardId} may be down, and they were not`);
  }

  /** Nothing was up, or nothing could be reached, from `from` to now. */
  silence(from: number): void {
    const { wire, wardIds } = this.world;
    const to = wire.time.now;
    if (to - from < silenceToldMs) return;
    for (const wardId of wardIds) {
      void this.world.peek(wardId).then(({ ward, lines }) => {
        const looked = owedLines(lines, ward.policy, from).filter(
          ({ knownSince }) => knownSince < from - 5 * minuteMs,
        );
        const spoke = this.spoken.some((one) => one.wardId === wardId && one.at >= from && one.at <= to);
        if (looked.length > 0 && to - from > lastWordWithinMs && !spoke)
          this.world.fails(
            `nothing was up for ${minutes(to - from)}, and the platform did not say so on ${wardId}`,
          );
      });
      this.mustTell(wardId, from, to);
    }
  }

  private mustTell(wardId: string, from: number, to: number): void {
    const { wire, weather, raw } = this.world;
    const again = (when: number) => wire.time.at(when, () => this.mustTell(wardId, from, to));
    const counts = weather.countsFrom(to, wire.time.now);
    if (counts === Number.POSITIVE_INFINITY) return again(wire.time.now + minuteMs);
    if (wire.time.now < counts + toldWithinMs) return again(counts + toldWithinMs);
    void Promise.all([this.world.peek(wardId), raw.readWardLog(wardId)]).then(([{ ward, lines }, log]) => {
      this.world.tally.looksAt('silence');
      const missed = owedLines(lines, ward.policy, to).filter(({ knownSince }) => knownSince < from);
      const isTold = log.some(
        (entry) =>
          entry.kind === 'wasDown' && entry.body.from <= from + minuteMs && entry.body.to >= to - 5_000,
      );
      if (missed.length > 0 && !isTold)
        this.world.fails(`nothing was up for ${minutes(to - from)}, and ${wardId} was not told so`);
    });
  }
}
