import { z } from 'zod';

const payloadSchema = z.object({ wardId: z.string().min(3).max(60), atMs: z.number() });

/** What a wake-up needs: the use case, the ward's clock, and how to tell its lateness. */
export interface WakeParts {
  wakeWard: (wardId: string) => Promise<void>;
  /** Ward time, ms, and how many ward ms pass in a real one. */
  now(): number;
  rate(): number;
  late(seconds: number): void;
  /** Waits so many real ms; by a timer unless told. */
  wait?: (ms: number) => Promise<void>;
}

/** Up to this much too early it is waited for, real ms: a timer's rounding. */
const roundingMs = 1_000;

/**
 * A ward's wake-up. It carries a ward and an instant and decides nothing: it has the ward looked at. Run twice, late or
 * early it changes nothing but time.
 */
export async function wake(data: unknown, parts: WakeParts): Promise<void> {
  const { wardId, atMs } = payloadSchema.parse(data);
  const earlyMs = (atMs - parts.now()) / parts.rate();
  const { wait = (ms) => new Promise((resolve) => setTimeout(resolve, ms)) } = parts;
  if (earlyMs > 0 && earlyMs <= roundingMs) await wait(Math.ceil(earlyMs));
  parts.late(Math.max(0, parts.now() - atMs) / 1000);
  await parts.wakeWard(wardId);
}
