import { Writable } from 'node:stream';
import { type CommandCall, carryOut } from '../../src/programs/command-stop.ts';

/** How a command ended and what it said. */
export interface Ended {
  status: number | null;
  stdout: string;
  stderr: string;
}

/** Carries out a command of the repository in this process, which spares the start of another. */
export async function calledCommand(
  command: (call: CommandCall) => Promise<void>,
  words: readonly string[],
  env: NodeJS.ProcessEnv,
): Promise<Ended> {
  const [stdout, stderr] = [heard(), heard()];
  const status = await carryOut(command, { words, env, stdout: stdout.stream, stderr: stderr.stream });
  return { status, stdout: stdout.said(), stderr: stderr.said() };
}

function heard() {
  const chunks: Buffer[] = [];
  const stream = new Writable({
    write(chunk: Buffer, _, done) {
      chunks.push(chunk);
      done();
    },
  });
  return { stream, said: () => Buffer.concat(chunks).toString() };
}
