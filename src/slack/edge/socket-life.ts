import type { SocketModeReceiver } from '@slack/bolt';
import { WebAPIPlatformError, WebAPIRateLimitedError } from '@slack/web-api';
import type { Taken } from './taken.ts';

type Client = SocketModeReceiver['client'];

/** The socket on which the platform sends what people type and press. */
export interface SocketLife {
  /** Opens it. Throws `AppTokenRefused`, unless told to go on trying whatever the platform says. */
  start(how: { whateverItSays: boolean }): Promise<void>;
  /** Since when it is lost, ms; null while it is open. */
  lostSince(): number | null;
  stop(): Promise<void>;
}

/** Waits after a try that failed, ms; the last repeats. The platform lets a socket be opened about once a minute. */
const againAfterMs = [1_000, 2_000, 5_000, 15_000, 30_000, 60_000] as const;
/** How long the platform may take to greet, ms. */
const greetingMs = 15_000;

/** What the platform says of a token that is of no use, as its own client reads it. */
const refusals = new Set([
  'not_authed',
  'invalid_auth',
  'account_inactive',
  'token_revoked',
  'team_disabled',
]);

/** Thrown at a start whose app-level token the platform refuses. */
export class AppTokenRefused extends Error {
  constructor(code: string, cause: unknown) {
    super(
      `The chat platform refuses SLACK_APP_TOKEN (${code}). Make a new app-level token with the scope connections:write and set it.`,
      { cause },
    );
    this.name = 'AppTokenRefused';
  }
}

/**
 * Keeps the socket open: whenever it is lost it is opened again, at once and then ever more slowly, for as long as it takes.
 * The client's own reopening must be off: it gives up for good at the first answer such as `invalid_auth`, and waits 5 s
 * each time the platform asks for a fresh connection.
 */
export function socketLife(client: Client, trouble: Taken['trouble']): SocketLife {
  let lostSince: number | null = null;
  let isOpening = false;
  let isStopped = false;
  const { pause, wake } = pauses();
  const openOnce = () => opened(client, () => isStopped);
  const open = async (whateverItSays: boolean) => {
    isOpening = true;
    try {
      for (let tries = 0; !isStopped; tries++) {
        try {
          await openOnce();
          lostSince = null;
          return;
        } catch (cause) {
          lostSince ??= Date.now();
          if (isStopped) return;
          const code = refusalOf(cause);
          if (code !== null && !whateverItSays) throw new AppTokenRefused(code, cause);
          trouble(
            'the connection for commands could not be opened; it is tried again',
            { attempt: tries + 1 },
            cause,
          );
          await pause(againAfter(tries, cause));
        }
      }
    } finally {
      isOpening = false;
    }
  };
  client.on('disconnected', () => {
    lostSince ??= Date.now();
    if (!isOpening && !isStopped) void open(true);
  });
  return {
    async start({ whateverItSays }) {
      lostSince = Date.now();
      const opening = open(whateverItSays);
      if (!whateverItSays) return opening;
      // One that goes on trying is not waited for: reminders must start.
      const late = new Promise<void>((resolve) => setTimeout(resolve, greetingMs).unref());
      await Promise.race([opening, late]);
    },
    lostSince: () => lostSince,
    async stop() {
      isStopped = true;
      wake();
      await client.disconnect();
    },
  };
}

/** Opens the socket once; throws where the platform does not greet in time. */
async function opened(client: Client, isStopped: () => boolean): Promise<void> {
  const opening = client.start();
  // One that comes after nobody waits for it any more must not stay.
  opening.then(
    () => (isStopped() ? client.disconnect() : undefined),
    () => undefined,
  );
  let timer: NodeJS.Timeout | undefined;
  const late = new Promise<never>((_resolve, reject) => {
    timer = setTimeout(() => {
      void client.disconnect();
      reject(new Error('the chat platform did not greet'));
    }, greetingMs);
  });
  try {
    await Promise.race([opening, late]);
  } finally {
    clearTimeout(timer);
  }
}

/** How long to wait after so many tries, ms: never less than the platform asks for. */
function againAfter(tries: number, cause: unknown): number {
  const waitMs = againAfterMs[Math.min(tries, againAfterMs.length - 1)] ?? 60_000;
  return Math.max(waitMs, cause instanceof WebAPIRateLimitedError ? cause.retryAfter * 1_000 : 0);
}

/** Pauses of which the last can be cut short. */
function pauses(): { pause: (ms: number) => Promise<void>; wake: () => void } {
  let cutShort = () => {};
  return {
    pause: (ms) =>
      new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, ms);
        cutShort = () => {
          clearTimeout(timer);
          resolve();
        };
      }),
    wake: () => cutShort(),
  };
}

function refusalOf(cause: unknown): string | null {
  const code = cause instanceof WebAPIPlatformError ? (cause.data.error ?? '') : '';
  return refusals.has(code) ? code : null;
}
