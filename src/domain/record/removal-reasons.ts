/** Why a line was taken out. */
export const removalReasons = [
  'planned',
  'dwell limit',
  'occluded',
  'dislodged',
  'bleeding',
  'swelling',
  'infection',
  'pulse or limb change',
  'death',
  'transfer',
] as const;
/** One reason for taking a line out. */
export type RemovalReason = (typeof removalReasons)[number];

/** Removal for one of these is a failure of the line; for any other the line was good until then. */
export const failureReasons = [
  'occluded',
  'dislodged',
  'bleeding',
  'swelling',
  'infection',
  'pulse or limb change',
] as const satisfies readonly RemovalReason[];
/** A failure of the line, for which it was taken out. */
export type FailureReason = (typeof failureReasons)[number];

/** The failure a removal for this reason is; null for one that is none. */
export function failureOf(reason: RemovalReason): FailureReason | null {
  return failureReasons.find((failure) => failure === reason) ?? null;
}
