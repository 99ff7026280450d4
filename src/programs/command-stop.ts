/**
 * Ends a command of the repository with words for whoever typed it. Code 1: what it was asked for cannot be had; 2: the words
 * or settings are wrong.
 */
export class CommandStop extends Error {
  readonly code: 1 | 2;
  constructor(message: string, code: 1 | 2) {
    super(message);
    this.code = code;
  }
}

/** Runs a command of the repository; what ends it is said on standard error, with its code. */
export async function runCommand(main: () => Promise<void>): Promise<void> {
  try {
    await main();
  } catch (error) {
    process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
    process.exitCode = error instanceof CommandStop ? error.code : 1;
  }
}
