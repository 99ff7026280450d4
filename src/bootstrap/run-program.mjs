import { spawn } from 'node:child_process';

/** Signals that a person or a supervisor sends to end us, passed on to the program we run. */
const passedSignals = /** @type {const} */ (['SIGINT', 'SIGTERM', 'SIGHUP']);

/** Exit codes of a death by signal, as a shell gives them: 128 + the signal's number. */
const signalNumbers = { SIGHUP: 1, SIGINT: 2, SIGKILL: 9, SIGSEGV: 11, SIGABRT: 6, SIGTERM: 15 };

/**
 * @param {number | null} code
 * @param {string | null} signal
 */
function exitCodeOf(code, signal) {
  if (code !== null) return code;
  return 128 + (signalNumbers[/** @type {keyof typeof signalNumbers} */ (signal)] ?? 1);
}

/** How often it is looked whether the npm that runs us still lives, ms. */
const parentLookMs = 500;

/**
 * npm hands a signal to the shell it runs us in, and that shell ends without passing it on: we would stay behind, and the
 * program with us. Calls `orphaned` once when that has happened; whoever runs us without npm may leave us on purpose.
 * @param {NodeJS.ProcessEnv} env
 * @param {() => void} orphaned
 */
function watchNpm(env, orphaned) {
  if (env.npm_lifecycle_event === undefined) return () => {};
  const parent = process.ppid;
  const looking = setInterval(() => {
    if (process.ppid === parent) return;
    clearInterval(looking);
    orphaned();
  }, parentLookMs);
  return () => clearInterval(looking);
}

/**
 * Runs a program in the foreground: it shares our terminal, gets our signals, and its exit code is the answer.
 * File descriptor 3 of the child stays open as long as we live, so that it can notice our death (see
 * stop-with-parent.mjs).
 * @param {string} program
 * @param {readonly string[]} programArguments
 * @param {{ cwd: string, env: NodeJS.ProcessEnv }} options
 * @returns {Promise<number>}
 */
export function runInForeground(program, programArguments, { cwd, env }) {
  return new Promise((resolve, reject) => {
    const child = spawn(program, programArguments, {
      cwd,
      env,
      stdio: ['inherit', 'inherit', 'inherit', 'pipe'],
    });
    /** @type {[NodeJS.Signals, () => void][]} */
    const listeners = passedSignals.map((signal) => [
      signal,
      () => {
        // A terminal sends Ctrl-C to its whole foreground group: the child already has it, a second would read as "at once".
        if (signal === 'SIGINT' && process.stdin.isTTY) return;
        child.kill(signal);
      },
    ]);
    for (const [signal, listener] of listeners) process.on(signal, listener);
    const stopWatching = watchNpm(env, () => child.kill('SIGTERM'));
    const settle = () => {
      stopWatching();
      for (const [signal, listener] of listeners) process.off(signal, listener);
    };
    child.on('error', (error) => {
      settle();
      reject(error);
    });
    child.on('close', (code, signal) => {
      settle();
      resolve(exitCodeOf(code, signal));
    });
  });
}

/**
 * Runs a program quietly and gives back all it printed, both streams as they came.
 * @param {string} program
 * @param {readonly string[]} programArguments
 * @param {{ cwd: string, env: NodeJS.ProcessEnv }} options
 * @returns {Promise<{ code: number, output: string }>}
 */
export function runQuietly(program, programArguments, { cwd, env }) {
  return new Promise((resolve) => {
    const child = spawn(program, programArguments, { cwd, env, stdio: ['ignore', 'pipe', 'pipe'] });
    let output = '';
    child.stdout.on('data', (chunk) => {
      output += chunk;
    });
    child.stderr.on('data', (chunk) => {
      output += chunk;
    });
    child.on('error', (error) => resolve({ code: 127, output: `${output}${error.message}\n` }));
    child.on('close', (code, signal) => resolve({ code: exitCodeOf(code, signal), output }));
  });
}
