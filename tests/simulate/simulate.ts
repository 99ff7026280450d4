import { Tally } from './tally.ts';
import { type Broken, World } from './world.ts';

/** Days of one run: then a new installation begins. */
const daysOfARun = 2;

/** The first promise that was broken: how to see it again, and what led to it. */
export interface Fault {
  seed: string;
  days: number;
  what: string;
  trace: string[];
}

/** Runs installations one after the other, so many days in all. The same seed comes to the same, on any machine. */
export async function simulate(asked: {
  days: number;
  seed: string;
  broken?: Broken;
  /** Channels are shut and opened again. */
  archiving?: boolean;
}): Promise<{ tally: Tally; fault: Fault | null }> {
  const tally = new Tally();
  const runs = Math.ceil(asked.days / daysOfARun);
  for (let run = 0; run < runs; run++) {
    const seed = runs === 1 ? asked.seed : `${asked.seed}/${run}`;
    const days = Math.min(daysOfARun, asked.days - run * daysOfARun);
    const world = new World(seed, tally, asked.broken, asked.archiving);
    await world.run(days).catch((cause: unknown) => world.fails(`it threw: ${String(cause)}`));
    tally.add('calls', world.wire.trace.length);
    if (world.fault !== null)
      return { tally, fault: { seed, days, what: world.fault, trace: world.wire.trace.last() } };
  }
  return { tally, fault: null };
}
