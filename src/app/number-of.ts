/** The same number for the same text in every process (FNV-1a, 32 bit), as a ward is given to one of several. */
export function numberOf(text: string): number {
  let hash = 0x811c9dc5;
  for (const letter of text) hash = Math.imul(hash ^ (letter.codePointAt(0) ?? 0), 0x01000193);
  return hash >>> 0;
}
