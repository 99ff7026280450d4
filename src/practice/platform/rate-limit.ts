/** How often each channel may be posted to. */
export interface RateLimit {
  perChannelPerSecond: number;
  /** Posts that may come at once after a quiet time. */
  burst: number;
}

/**
 * A token bucket for each channel, in real time. The returned function takes one post and gives 0 when it may go, or
 * the milliseconds to wait. Source of the rate: chat.postMessage, about one a second a channel with short bursts.
 */
export function channelBuckets(limit: RateLimit | null, realNow: () => number): (channel: string) => number {
  const buckets = new Map<string, { tokens: number; atMs: number }>();
  return (channel) => {
    if (limit === null) return 0;
    const now = realNow();
    const bucket = buckets.get(channel) ?? { tokens: limit.burst, atMs: now };
    const gained = ((now - bucket.atMs) / 1000) * limit.perChannelPerSecond;
    const tokens = Math.min(limit.burst, bucket.tokens + gained);
    const passes = tokens >= 1;
    buckets.set(channel, { tokens: passes ? tokens - 1 : tokens, atMs: now });
    return passes ? 0 : ((1 - tokens) / limit.perChannelPerSecond) * 1000;
  };
}
