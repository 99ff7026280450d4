import { type ChildProcess, fork } from 'node:child_process';
import os from 'node:os';

/** With no work for so long the process is ended, ms; the next piece starts another. */
const usualIdleMs = 30_000;
/** A piece that takes longer than this is given up with its process, ms. */
const usualPatienceMs = 60_000;

/** How Node is kept small in it: after 40 pictures and pages it took 118 MB, 256 without. */
const smallMemory = ['--max-semi-space-size=4', '--heap-growing-percent=50'];

/** What came of a piece of work, as the process says it. */
type Said = { made: unknown } | { failed: string };

/**
 * Work done in a process of its own, one piece after another, behind all else on the machine: whatever it takes of memory goes when
 * the process ends, and what kills it kills nothing else. `program` calls `workForParent`. A piece is rejected where it fails, or the
 * process ends before its answer.
 */
export function childWork<Task, Made>(
  program: URL,
  { idleMs = usualIdleMs, patienceMs = usualPatienceMs } = {},
): (task: Task) => Promise<Made> {
  let child: ChildProcess | null = null;
  let before: Promise<unknown> = Promise.resolve();
  let ending: NodeJS.Timeout | undefined;
  const letGo = (worker: ChildProcess) => {
    if (child === worker) child = null;
  };
  const start = () => {
    const started = fork(program, { execArgv: smallMemory, serialization: 'advanced', stdio: 'ignore' });
    started.once('exit', () => letGo(started)).once('error', () => letGo(started));
    return started;
  };
  const piece = async (task: Task) => {
    clearTimeout(ending);
    const worker = (child ??= start());
    const late = setTimeout(() => {
      letGo(worker);
      worker.kill('SIGKILL');
    }, patienceMs);
    try {
      return (await answerOf(worker, task)) as Made;
    } finally {
      clearTimeout(late);
      ending = setTimeout(() => {
        letGo(worker);
        if (worker.connected) worker.disconnect();
      }, idleMs).unref();
    }
  };
  return (task) => {
    const made = before.then(() => piece(task));
    before = made.catch(() => undefined);
    return made;
  };
}

/** Has one piece done. Only meanwhile does the process keep its parent from ending. */
async function answerOf(worker: ChildProcess, task: unknown): Promise<unknown> {
  const { promise, resolve, reject } = Promise.withResolvers<unknown>();
  const heard = (said: Said) => ('made' in said ? resolve(said.made) : reject(new Error(said.failed)));
  const ended = (code: number | null, signal: string | null) =>
    reject(new Error(`the process that works beside the bot ended (${signal ?? code})`));
  worker.once('message', heard).once('exit', ended).once('error', reject);
  worker.ref();
  worker.channel?.ref();
  worker.send(task as object, (fault) => fault && reject(fault));
  try {
    return await promise;
  } finally {
    worker.off('message', heard).off('exit', ended).off('error', reject);
    worker.unref();
    worker.channel?.unref();
  }
}

/** How far behind others the process stands, in steps of the system (0 usual, 19 last). */
const behindBy = 10;

/** The other side, in the process: does each piece as it comes, and ends with the parent or when the parent lets it go. */
export function workForParent<Task>(work: (task: Task) => Promise<unknown>): void {
  os.setPriority(Math.max(behindBy, os.getPriority()));
  // A stop that's sent to all processes at once is the parent's to carry out: what is being made is still sent.
  for (const signal of ['SIGINT', 'SIGTERM'] as const) process.on(signal, () => undefined);
  process.on('disconnect', () => process.exit());
  process.on('message', (task: Task) => {
    const say = (said: Said) => process.send?.(said);
    void work(task).then(
      (made) => say({ made }),
      (cause: unknown) => say({ failed: cause instanceof Error ? cause.message : String(cause) }),
    );
  });
}
