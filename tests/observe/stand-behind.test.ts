import { readdirSync, readFileSync } from 'node:fs';
import os from 'node:os';
import { Worker } from 'node:worker_threads';
import { expect, it } from 'vitest';

/** How each thread of this process is ranked, from the kernel's own table: field 19 of proc_pid_stat(5). */
function niceOfThreads(): Map<string, number> {
  return new Map(
    readdirSync('/proc/self/task').map((id) => {
      const stat = readFileSync(`/proc/self/task/${id}/stat`, 'utf8');
      const afterName = stat.slice(stat.lastIndexOf(')') + 2).split(' ');
      return [id, Number(afterName[16])];
    }),
  );
}

it.runIf(os.platform() === 'linux')('ranks its own thread behind and no other of the process', async () => {
  const module = new URL('../../src/event-loop/thread-turns.ts', import.meta.url).href;
  const before = niceOfThreads();
  const worker = new Worker(
    `import(${JSON.stringify(module)}).then(({ standBehind }) => {
      standBehind();
      require('node:worker_threads').parentPort.once('message', () => process.exit());
      require('node:worker_threads').parentPort.postMessage('behind');
    });`,
    { eval: true, execArgv: [] },
  );
  await new Promise((resolve, reject) => {
    worker.once('message', resolve);
    worker.once('error', reject);
  });
  const during = niceOfThreads();
  const behind = [...during].filter(([id, nice]) => nice !== (before.get(id) ?? os.getPriority()));
  expect(behind.map(([, nice]) => nice)).toEqual([10]);
  expect(behind.map(([id]) => before.has(id))).toEqual([false]);
  worker.postMessage('end');
  await new Promise((resolve) => worker.once('exit', resolve));
});
