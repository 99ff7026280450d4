/** How long a trigger may be used (views.open). */
export const triggerLifeMs = 3_000;

/** What a trigger id was given for. */
export interface Trigger {
  userId: string;
  /** The view it came from, when a modal was open. */
  viewId?: string;
}

/** Gives out trigger ids and takes each back once. */
export interface TriggerBox {
  issue(trigger: Trigger): string;
  /** The trigger, or the platform's name for what is wrong with the id. */
  exchange(
    id: unknown,
  ):
    | { ok: true; trigger: Trigger }
    | { ok: false; error: 'invalid_trigger_id' | 'expired_trigger_id' | 'exchanged_trigger_id' };
}

/** Triggers age in real time: an app that is slow is slow however fast the ward clock runs. */
export function triggerBox(realNow: () => number): TriggerBox {
  const issued = new Map<string, Trigger & { atMs: number; used: boolean }>();
  let count = 0;
  return {
    issue(trigger) {
      count += 1;
      const id = `${realNow()}.${String(count).padStart(7, '0')}.practice`;
      issued.set(id, { ...trigger, atMs: realNow(), used: false });
      return id;
    },
    exchange(id) {
      const found = typeof id === 'string' ? issued.get(id) : undefined;
      if (!found) return { ok: false, error: 'invalid_trigger_id' };
      if (found.used) return { ok: false, error: 'exchanged_trigger_id' };
      if (realNow() - found.atMs > triggerLifeMs) return { ok: false, error: 'expired_trigger_id' };
      found.used = true;
      return { ok: true, trigger: found };
    },
  };
}
