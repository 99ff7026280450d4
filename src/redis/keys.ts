import { timerPrefix } from '../app/timers.ts';

/** Every key of one ward. All carry the ward's hash tag, so that they lie in one slot of a Redis Cluster. */
export interface WardKeys {
  /** Sorted set: line id, or `ward`, to its next wake-up (ward ms). */
  due: string;
  /** Set of line ids on the ward's list. */
  lines: string;
  /** Hash: line id to whose it is, as `encodePlacing` writes it; `#` once the lines placed before there was such a hash are in. */
  placings: string;
  /** List of the ward's own entries, and its snapshot. */
  wardLog: string;
  ward: string;
  /** Hash: post key to whom it goes and what it is about. */
  out: string;
  /** Sorted set: post key to the real ms it waits for; 0 is ready. */
  todo: string;
  /** Hash: post key to the hold of whoever is at it. */
  held: string;
  /** Hash: post key to where it stands. */
  sent: string;
  /** Hash: post key to how often it was put off and since when it may have been sent. */
  tries: string;
  /** Hash: lane to the real ms from which it is free. */
  lanes: string;
  /** Set of what was told on one real day (days since the epoch). */
  once: (day: number) => string;
  lineLog: (lineId: string) => string;
  /** A line's snapshot. */
  line: (lineId: string) => string;
  /** Set of the posts that speak of a line. */
  linePosts: (lineId: string) => string;
}

/** The set of all ward ids. */
export const wardsKey = 'wards';

/** The keys of a ward. Throws on an id that would break its hash tag. */
export function wardKeys(wardId: string): WardKeys {
  if (!/^[^{}\s]+$/.test(wardId)) {
    throw new Error(`ward id ${JSON.stringify(wardId)}: it must not be empty nor hold braces or blanks`);
  }
  const tag = `{${wardId}}`;
  return {
    due: `${tag}:due`,
    lines: `${tag}:lines`,
    placings: `${tag}:placings`,
    wardLog: `${tag}:log`,
    ward: `${tag}:ward`,
    out: `${tag}:out`,
    todo: `${tag}:out:todo`,
    held: `${tag}:out:held`,
    sent: `${tag}:out:sent`,
    tries: `${tag}:out:tries`,
    lanes: `${tag}:lanes`,
    once: (day) => `${tag}:once:${day}`,
    lineLog: (lineId) => `${tag}:line:${lineId}:log`,
    line: (lineId) => `${tag}:line:${lineId}`,
    linePosts: (lineId) => `${tag}:line:${lineId}:posts`,
  };
}

/** Written before replicas are asked what they have; `tag`: what the keys of its server have between braces. */
export function copiedKey(tag: string): string {
  return `{${tag}}:copied`;
}

/** A key that all processes share, beside the job queue; on a cluster, in the slot of its first part. */
export function sharedKey(name: string): string {
  return `${timerPrefix}:${name}`;
}

/** Hash: workspace and channel (`T01.C0123`) to the id that the platform gave the channel since. */
export const channelIdsKey = '{channels}:ids';

/** The set of ids of workspaces and organisations in which the app is installed. */
export const installationsKey = '{install}:ids';
/** Hash: workspace to the organisation whose installation serves it. */
export const orgsKey = '{install}:orgs';

/** The keys of one installation: a hash of what is kept, and the lock of whoever renews its token. */
export function installationKeys(id: string): { kept: string; lock: string } {
  if (!/^[A-Z0-9]+$/.test(id)) throw new Error(`${JSON.stringify(id)} is no id of a workspace`);
  return { kept: `{install:${id}}:kept`, lock: `{install:${id}}:lock` };
}
