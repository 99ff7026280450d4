import type { WardPolicy } from '../policy/ward-policy.ts';
import type { WardEntry } from './ward-entry.ts';

export interface Handover {
  for: number;
  auto: boolean;
  postedAt: number;
  accepted: { at: number; by: string } | null;
  nudgedAt: number | null;
}

/** Everything known of a ward as a whole: the fold of its log. */
export interface WardState {
  /** The ward's id: workspace and channel. */
  id: string;
  version: number;
  policy: WardPolicy;
  /** Number of policies this ward has had; 0 is the default it began with. */
  policyVersion: number;
  policySet: { at: number; by: string } | null;
  onCallSet: { user: string; at: number; by: string } | null;
  /** The latest three, oldest first. */
  handovers: Handover[];
}

/** Raised when the fold or the state's shape changes. */
export const wardFoldNumber = 1;

/** A ward nothing was told of yet. */
export function newWard(id: string, policy: WardPolicy): WardState {
  return { id, version: 0, policy, policyVersion: 0, policySet: null, onCallSet: null, handovers: [] };
}

/** The state of a ward after one more entry of its log. */
export function foldWardNext(ward: WardState, entry: WardEntry): WardState {
  const next: WardState = { ...ward, version: ward.version + 1 };
  switch (entry.kind) {
    case 'policySet':
      next.policy = entry.body.policy;
      next.policyVersion += 1;
      next.policySet = { at: entry.at, by: entry.by };
      return next;
    case 'onCallSet':
      next.onCallSet = { user: entry.body.user, at: entry.at, by: entry.by };
      return next;
    case 'handedOver':
      next.handovers = [
        ...ward.handovers.filter((handover) => handover.for !== entry.body.for),
        { for: entry.body.for, auto: entry.body.auto, postedAt: entry.at, accepted: null, nudgedAt: null },
      ].slice(-3);
      return next;
    case 'handoverAccepted':
      next.handovers = ward.handovers.map((handover) =>
        handover.for === entry.body.for && handover.accepted === null
          ? { ...handover, accepted: { at: entry.at, by: entry.by } }
          : handover,
      );
      return next;
    case 'handoverNudged':
      next.handovers = ward.handovers.map((handover) =>
        handover.for === entry.body.for ? { ...handover, nudgedAt: entry.at } : handover,
      );
      return next;
    case 'wasDown':
      return next;
  }
}

/** The state of a ward from its whole log. */
export function foldWard(id: string, policy: WardPolicy, log: readonly WardEntry[]): WardState {
  return log.reduce(foldWardNext, newWard(id, policy));
}
