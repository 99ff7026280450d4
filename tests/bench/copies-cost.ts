import { openCommands, untilReady } from '../../src/redis/connections.ts';
import { replicaCopies } from '../../src/redis/copies.ts';
import { redisRecord } from '../../src/redis/redis-record.ts';
import { evening, lineChange, nothing, placed, policy } from '../contract/ward-changes.ts';
import { startSentinels } from '../support/redis-fleet.ts';
import { type Measured, ms, percentile } from './measured.ts';

const changes = 1_000;
const together = 50;

/** What it costs an acknowledgement that a replica has the entry too: one master, two replicas, each syncing every write. */
export async function copiesCost(): Promise<Measured[]> {
  const fleet = await startSentinels();
  const client = openCommands({ url: fleet.url }, () => {});
  const waiter = openCommands({ url: fleet.url }, () => {});
  try {
    await Promise.all([untilReady(client, 10_000), untilReady(waiter, 10_000)]);
    const copies = replicaCopies({ client: waiter, wanted: 1, trouble: (what) => console.error(what) });
    const without = redisRecord({ client, defaultPolicy: policy });
    const withCopies = redisRecord({ client, defaultPolicy: policy, copies });
    const rows: Measured[] = [];
    for (const atOnce of [1, together]) {
      // By turns, so that a slow moment of the machine meets both.
      const took = { plain: [] as number[], copied: [] as number[] };
      for (let number = 0; number < changes; number += atOnce)
        for (const [name, record] of [
          ['plain', without],
          ['copied', withCopies],
        ] as const)
          await Promise.all(
            Array.from({ length: atOnce }, async (_, index) => {
              const change = {
                ...nothing,
                lines: [lineChange(`${name}.${atOnce}.${number + index}`, [], [placed(evening)])],
              };
              const began = performance.now();
              await record.commit('T0TEST.C0WARD', change);
              took[name].push(performance.now() - began);
            }),
          );
      for (const p of [0.5, 0.99]) {
        const [ours, raw] = [percentile(took.copied, p), percentile(took.plain, p)];
        rows.push({
          what: `an entry written and on a replica, ${atOnce} at once, p${p * 100}`,
          ours: ms(ours),
          raw: `${ms(raw)} (written only)`,
          ratio: ours / raw,
          aim: '',
        });
      }
    }
    return rows;
  } finally {
    client.disconnect();
    waiter.disconnect();
    await fleet.stop();
  }
}
