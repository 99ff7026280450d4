import type { Change } from '../app/ports.ts';

/**
 * Throws on a change that must not be written whatever the record holds: a state that does not stand for exactly its
 * log would be believed later, and Redis must not stop half way at an instant that is no number.
 */
export function checkChange({ lines, ward, wakes }: Change): void {
  checkWakes(wakes);
  if (ward) checkFolded('the ward', ward.expected, ward.entries.length, ward.after.version);
  for (const { id, expected, entries, after } of lines) {
    checkFolded(`line ${id}`, expected, entries.length, after.version);
  }
}

/** Throws on a wake-up that is no instant. */
export function checkWakes(wakes: Readonly<Record<string, number | null>>): void {
  for (const [member, at] of Object.entries(wakes)) {
    if (at !== null && !Number.isFinite(at)) {
      throw new Error(`the wake-up of ${member} is ${at}: an instant in ms since the epoch is needed`);
    }
  }
}

function checkFolded(what: string, expected: number, added: number, version: number): void {
  if (version === expected + added) return;
  throw new Error(`${what}: the state stands for ${version} entries, its log would hold ${expected + added}`);
}
