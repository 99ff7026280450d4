import { RecordUnavailable } from '../app/record-unavailable.ts';

/** Refusals of a server that is there but cannot serve now: still loading, full, a replica, failing over. */
const refusals = /^(LOADING|READONLY|MASTERDOWN|CLUSTERDOWN|TRYAGAIN|OOM|MISCONF|NOREPLICAS|BUSY)\b/;
/** Failures of which it is certain that the command never left. */
const neverSent = /isn't writeable|isn't ready|ECONNREFUSED|ENOENT|ENOTFOUND/;

/**
 * Does something with Redis, and says `RecordUnavailable` where Redis was not reached or would not serve; a refusal that
 * is a bug of ours passes as it is. Only calls of the client belong inside. `writes`: whether a lost answer leaves it
 * open that something was written.
 */
export async function reach<T>(kind: 'writes' | 'reads', doing: () => Promise<T>): Promise<T> {
  try {
    return await doing();
  } catch (cause) {
    if (!(cause instanceof Error) || cause instanceof TypeError || cause instanceof RangeError) throw cause;
    if (cause.name !== 'ReplyError') {
      throw new RecordUnavailable(cause, kind === 'writes' && !neverSent.test(cause.message));
    }
    if (refusals.test(cause.message)) throw new RecordUnavailable(cause);
    throw cause;
  }
}
