import { type ChildProcess, spawn } from 'node:child_process';

/** Servers still running when this process ends, however it ends. */
const running = new Set<ChildProcess>();
process.once('exit', () => {
  for (const child of running) child.kill('SIGKILL');
});

/** Starts a server that does not outlive this process. */
export function startServer(program: string, words: readonly string[]): ChildProcess {
  const child = spawn(program, words, { stdio: 'ignore' });
  running.add(child);
  return child;
}

/** Ends a server at once, as a power cut would end it for its clients. */
export async function endServer(child: ChildProcess | undefined): Promise<void> {
  if (!child) return;
  running.delete(child);
  if (child.exitCode !== null || child.signalCode !== null) return;
  const gone = new Promise<void>((resolve) => {
    child.once('exit', () => resolve());
  });
  child.kill('SIGKILL');
  await gone;
}
