import type { Writable } from 'node:stream';

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

/** What somebody typed after a command’s name, under which settings, and where the answer goes. */
export interface CommandCall {
  words: readonly string[];
  env: NodeJS.ProcessEnv;
  stdout: Writable;
  stderr: Writable;
}

/** Carries out a command; what ends it is said on its standard error. Gives the exit code. */
export async function carryOut(
  command: (call: CommandCall) => Promise<void>,
  call: CommandCall,
): Promise<0 | 1 | 2> {
  try {
    await command(call);
    return 0;
  } catch (error) {
    call.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
    return error instanceof CommandStop ? error.code : 1;
  }
}

/** Runs a command as this whole process. */
export async function runCommand(command: (call: CommandCall) => Promise<void>): Promise<void> {
  const { argv, env, stdout, stderr } = process;
  process.exitCode = await carryOut(command, { words: argv.slice(2), env, stdout, stderr });
}
