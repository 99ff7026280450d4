import { spawn } from 'node:child_process';
import { once } from 'node:events';
import { expect, it, onTestFinished } from 'vitest';

const watcher = new URL('../../src/bootstrap/stop-with-parent.mjs', import.meta.url).href;

/** A program that says, when a thread of its has ended, whether descriptor 3 is still the pipe it was given, and lives on. */
const program = `
  import { fstatSync } from 'node:fs';
  import { Worker } from 'node:worker_threads';
  const kind = () => {
    try { const { ino } = fstatSync(3); return String(ino); } catch { return 'closed'; }
  };
  const before = kind();
  const ends = (worker) => new Promise((resolve) => worker.once('exit', resolve));
  await ends(new Worker('', { eval: true }));
  await new Promise((resolve) => setTimeout(resolve, 50));
  process.stdout.write(before !== 'closed' && kind() === before ? 'kept' : 'lost');
  setInterval(() => {}, 1_000);
`;

function started() {
  const child = spawn(process.execPath, ['--import', watcher, '--input-type=module', '-e', program], {
    stdio: ['ignore', 'pipe', 'inherit', 'pipe'],
  });
  onTestFinished(() => void child.kill('SIGKILL'));
  const said = once(child.stdout!, 'data').then(([data]) => String(data));
  const exited = once(child, 'exit').then(([, signal]) => signal as unknown);
  return { child, said, exited };
}

it('goes on listening to the parent when a thread of the program has ended', async () => {
  const { child, said, exited } = started();
  expect(await said).toBe('kept');
  // The parent's end of the pipe closes, as when it is killed.
  (child.stdio[3] as unknown as { destroy(): void }).destroy();
  expect(await exited).toBe('SIGTERM');
});
