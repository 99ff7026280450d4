/**
 * The path of the first value of `given` that `kept` does not hold in the same way; null when nothing is lost. What `kept`
 * holds besides (defaults of fields added later) is no loss.
 */
export function lostValue(given: unknown, kept: unknown): string | null {
  if (typeof given !== 'object' || given === null) return given === kept ? null : '';
  if (typeof kept !== 'object' || kept === null || Array.isArray(given) !== Array.isArray(kept)) return '';
  for (const [key, value] of Object.entries(given)) {
    if (!Object.hasOwn(kept, key)) return key;
    const below = lostValue(value, (kept as Record<string, unknown>)[key]);
    if (below !== null) return below === '' ? key : `${key}.${below}`;
  }
  return null;
}
