/** Entries that are gone: of the ward's own record, and of each line by how many it had and has. */
export interface LostEntries {
  ward: number;
  lines: readonly { name: string; had: number; has: number }[];
}

/** What is gone, as the ward reads it. */
export function lossWords({ ward, lines }: LostEntries): string {
  const entries = (count: number) => `${count} ${count === 1 ? 'entry' : 'entries'}`;
  const gone = lines.map(({ name, had, has }) =>
    has === 0 ? `${name}: the whole line` : `${name}: ${entries(had - has)}`,
  );
  const own = ward === 0 ? [] : [`the ward’s own record (policy, on call, handovers): ${entries(ward)}`];
  return `The record has LOST what was recorded last, because a server failed before its copy was up to date. Missing: ${[...gone, ...own].join('; ')}. Check these cards against the patient and your paper, and record again what’s missing.`;
}
