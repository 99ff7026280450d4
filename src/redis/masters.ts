import { Cluster, type Redis } from 'ioredis';
import type { RecordClient } from './script.ts';

/** Each server that takes writes: the only one, or every master of a cluster. */
export function mastersOf(client: RecordClient): Redis[] {
  return client instanceof Cluster ? client.nodes('master') : [client];
}
