/** The command as words, forms and help write it. */
const usual = /\/artline(?![a-z0-9_-])/g;

/**
 * What is said or shown, with the slash command as this ward types it: words name `/artline`, and a ward whose command is
 * called otherwise must read what it can type. For everything that leaves for the platform; `said` must be plain JSON.
 */
export function asTyped<T>(said: T, command: string): T {
  if (command === '/artline') return said;
  return JSON.parse(JSON.stringify(said).replace(usual, command)) as T;
}
