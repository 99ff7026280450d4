/** How long a call to the platform may take, ms; the ack never waits for one. */
const callTimeoutMs = 10_000;

/** Options of every Web API client here. The SDK's own repeats are off: it would post twice when an answer is lost. */
export function webClientOptions(slackApiUrl: string) {
  return {
    slackApiUrl,
    retryConfig: { retries: 0 },
    timeout: callTimeoutMs,
    rejectRateLimitedCalls: true,
  };
}
