/** Taps of one person on the same button within this are one tap, ms. A thumb that doubts taps again within half a second: from memory. */
const oneTapMs = 1_000;

/**
 * Tells a thumb's second tap from a first. It is answered by the answer to the first and does nothing else; what reaches
 * another process, or comes later, finds the record as the first left it. `id`: the tap's own; the same tap delivered again
 * is no second one.
 */
export function doubleTaps(nowMs: () => number): (user: string, button: string, id: string) => boolean {
  const latest = new Map<string, { button: string; id: string; at: number }>();
  return (user, button, id) => {
    const now = nowMs();
    for (const [who, { at }] of latest) if (Math.abs(now - at) >= oneTapMs) latest.delete(who);
    const last = latest.get(user);
    // Whoever pressed something else in between means it.
    if (last?.button === button) return last.id !== id;
    latest.set(user, { button, id, at: now });
    return false;
  };
}
