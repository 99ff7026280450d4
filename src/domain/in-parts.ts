/** Long reckoning that can be put down after each of its parts and taken up again; it never asks what happened between. */
export type InParts<T> = Generator<undefined, T, undefined>;

/** All of it at once. */
export function whole<T>(parts: InParts<T>): T {
  for (;;) {
    const part = parts.next();
    if (part.done) return part.value;
  }
}
