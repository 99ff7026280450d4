import { numberOf } from './number-of.ts';
import type { Sweep } from './sweep-wards.ts';

/** Which part of the wards falls to this process: the `index`-th of `of`, from 0. */
export interface Share {
  index: number;
  of: number;
}

/** Wards checked in depth by one sweep. */
const mostAtOnce = 300;

/**
 * Which wards a sweep checks in depth. The first of a process checks all, since its start may follow any loss; from then on the
 * processes share them, each going round its own, so many a sweep. What is past due is looked for by every process on every ward
 * all the same: a process that died with its share delays no reminder.
 */
export function deepRota(share: () => Promise<Share>, most = mostAtOnce): Exclude<Sweep['deep'], boolean> {
  let isFirst = true;
  let last = '';
  return async (wardIds) => {
    const { index, of } = await share();
    if (isFirst) {
      isFirst = false;
      return wardIds;
    }
    const mine = wardIds.filter((wardId) => numberOf(wardId) % of === index).toSorted();
    const next = mine.findIndex((wardId) => wardId > last);
    const from = Math.max(0, next);
    const round = [...mine.slice(from), ...mine.slice(0, from)].slice(0, most);
    last = round.at(-1) ?? '';
    return round;
  };
}
