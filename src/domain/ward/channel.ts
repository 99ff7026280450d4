/**
 * Why nothing can be posted in a ward's channel. `not found`: it was deleted, or is private and the bot was taken out. `uninstalled`:
 * the bot was taken out of the whole workspace, so that nobody can be written to there at all.
 */
export const shutReasons = ['archived', 'removed', 'not found', 'not allowed', 'uninstalled'] as const;
/** Why nothing can be posted in a channel. */
export type ShutReason = (typeof shutReasons)[number];

/** Since when a ward's channel can't be posted in (ms), why, and who was told so by direct message. */
export interface ChannelShut {
  at: number;
  why: ShutReason;
  notified: string[];
}
