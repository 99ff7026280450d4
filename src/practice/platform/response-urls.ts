import { randomBytes } from 'node:crypto';

/** How often and how long one response address works (handling user interaction). */
export const responseUrlUses = 5;
export const responseUrlLifeMs = 30 * 60_000;

/** Where a response address leads. */
export interface ResponseTarget {
  channel: string;
  userId: string;
  /** The message the person acted on, which may be replaced or deleted. */
  messageTs?: string;
  threadTs?: string;
}

/** Response addresses given out with commands and message actions. */
export interface ResponseUrlBox {
  issue(target: ResponseTarget): string;
  /** The target, once more used; or why the address no longer works. */
  use(id: string): { ok: true; target: ResponseTarget } | { ok: false; error: 'expired_url' | 'used_url' };
}

/** Addresses age in real time. */
export function responseUrlBox(origin: () => string, realNow: () => number): ResponseUrlBox {
  const issued = new Map<string, { target: ResponseTarget; atMs: number; uses: number }>();
  return {
    issue(target) {
      const id = randomBytes(12).toString('hex');
      issued.set(id, { target, atMs: realNow(), uses: 0 });
      return `${origin()}/response/${id}`;
    },
    use(id) {
      const found = issued.get(id);
      if (!found || realNow() - found.atMs > responseUrlLifeMs) return { ok: false, error: 'expired_url' };
      if (found.uses >= responseUrlUses) return { ok: false, error: 'used_url' };
      found.uses += 1;
      return { ok: true, target: found.target };
    },
  };
}
