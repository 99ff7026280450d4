/** How far a difference is believed, ms: beyond it the header is nonsense. */
const mostMs = 24 * 3_600_000;

/** What is known of the platform's clock from its own answers. */
export interface PlatformClock {
  /** For Web API clients: notes the `Date` of each answer. */
  fetch: typeof globalThis.fetch;
  /** How far the platform's clock is behind ours, ms; 0 where it is ahead or nothing is known. */
  behindMs(): number;
}

/**
 * Reads the platform's clock off the `Date` header of its answers, to the second. An answer that took long makes it look
 * behind by as much, never ahead.
 */
export function platformClock(
  realNow: () => number,
  fetchIt: typeof globalThis.fetch = (...asked) => globalThis.fetch(...asked),
): PlatformClock {
  let behindMs = 0;
  return {
    async fetch(...asked) {
      const answer = await fetchIt(...asked);
      const ms = realNow() - Date.parse(answer.headers.get('date') ?? '');
      if (Math.abs(ms) < mostMs) behindMs = Math.max(0, ms);
      return answer;
    },
    behindMs: () => behindMs,
  };
}
