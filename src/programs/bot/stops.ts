/** Something started, and how it is stopped; the last started is stopped first. */
export interface Stop {
  what: string;
  stop: () => Promise<void> | void;
}

/** Stops all of it, the last started first; one that cannot be stopped keeps no other from it. */
export async function stopAll(
  stops: readonly Stop[],
  failed: (what: string, cause: unknown) => void,
): Promise<void> {
  for (const { what, stop } of stops.toReversed()) {
    try {
      await stop();
    } catch (cause) {
      failed(what, cause);
    }
  }
}
