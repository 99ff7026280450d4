import { type ChildProcess, fork } from 'node:child_process';
import { once } from 'node:events';
import type { JobDeps, PartBehind } from '../app/app-deps.ts';
import { within } from '../app/clock.ts';
import type { Watch } from '../app/ports.ts';
import type { LogLevel } from '../observe/log.ts';
import type { Collector } from '../observe/traces.ts';
import type { ServiceParts } from './service-parts.ts';

/** What the process needs besides what the bot's own has: its own connections, log and traces are made from it. */
export interface HandoverProcess {
  redisCopies: number;
  logLevel: LogLevel;
  tracesTo: Collector | null;
  /** With no work for so long it is ended, ms. */
  idleMs?: number;
  /** Where it owes something and nothing was brought to an end for so long it is given up, ms. */
  patienceMs?: number;
  /** Another program only in tests. */
  program?: URL;
}

/** What it is told first, as plain data. */
export type HandoverTask = Pick<ServiceParts, 'redisTarget' | 'command' | 'wardZone' | 'laneGapMs'> &
  Pick<HandoverProcess, 'redisCopies' | 'logLevel' | 'tracesTo'> & {
    slack: Pick<ServiceParts['slack'], 'apiUrl' | 'serves'>;
  };

/** What it is told: each ask of a ward has a number, which comes back once nothing of it is left. */
export type ToldToProcess =
  | { what: 'begin'; task: HandoverTask }
  | { what: 'ask'; part: PartBehind; wardId: string; number: number }
  | { what: 'stop' };

/** What it says. */
export type SaidByProcess =
  | { what: 'over'; part: PartBehind; wardId: string; number: number }
  | { what: 'watched'; call: keyof Watch; args: unknown[] };

type Behind = NonNullable<JobDeps['behind']>;

/** So many wards asked within a minute are many: the handovers of fewer are done before a process would be up. */
const fewWards = 5;
const latelyMs = 60_000;
const usualIdleMs = 30_000;
const usualPatienceMs = 120_000;
/** How Node is kept small in it. The bot's own flags are for a process that runs for weeks; this one ends when it's idle. */
const smallMemory = ['--max-semi-space-size=8', '--heap-growing-percent=50'];
/** A process that ended by itself is followed by another after this at the earliest, ms. */
const nextAfterMs = 60_000;

/**
 * `here`, but where many wards are asked for at once it is done in a process of its own, at the end of the line for a processor: so a
 * shift change holds nobody up, and what it takes of memory goes with it. Where that process dies, what it owed is done here.
 */
export function handoversBeside(
  here: Behind,
  parts: ServiceParts,
  { watch, realNow }: { watch: Watch; realNow: () => number },
): { behind: Behind; stop: (patienceMs: number) => Promise<void> } {
  const stopHere = () => {
    for (const one of Object.values(here)) one.stop();
  };
  const { handoverProcess, log } = parts;
  if (!handoverProcess) return { behind: here, stop: async () => stopHere() };
  const areMany = manyLately(realNow);
  let beside: Beside | null = null;
  let notBefore = 0;
  const start = () => {
    const started = startBeside(handoverProcess, taskOf(parts, handoverProcess), watch, (owed, why) => {
      if (beside === started) beside = null;
      if (why === null) return;
      notBefore = realNow() + nextAfterMs;
      watch.trouble('the process that hands over ended; the bot does it itself', {}, new Error(why));
      for (const { part, wardId } of owed) here[part].ask(wardId);
    });
    log.info({}, 'many wards hand over: started a process for it');
    return started;
  };
  const askOf = (part: PartBehind) => ({
    ask(wardId: string) {
      if (areMany(wardId) && realNow() >= notBefore) (beside ??= start()).ask(part, wardId);
      else here[part].ask(wardId);
    },
    has: (wardId: string) => beside?.owes(part, wardId) === true || here[part].has(wardId),
    stop: () => here[part].stop(),
  });
  return {
    behind: { calendars: askOf('calendars'), handovers: askOf('handovers'), files: askOf('files') },
    async stop(patienceMs) {
      notBefore = Number.POSITIVE_INFINITY;
      stopHere();
      await beside?.stop(patienceMs);
    },
  };
}

/** Notes a ward that was asked for; says whether many were lately. */
function manyLately(realNow: () => number): (wardId: string) => boolean {
  const askedAt = new Map<string, number>();
  return (wardId) => {
    const nowMs = realNow();
    askedAt.delete(wardId);
    askedAt.set(wardId, nowMs);
    for (const [old, atMs] of askedAt) {
      if (nowMs - atMs < latelyMs) break;
      askedAt.delete(old);
    }
    return askedAt.size > fewWards;
  };
}

function taskOf(
  { redisTarget, command, wardZone, laneGapMs, slack: { apiUrl, serves } }: ServiceParts,
  { redisCopies, logLevel, tracesTo }: HandoverProcess,
): HandoverTask {
  const gap = laneGapMs === undefined ? {} : { laneGapMs };
  return {
    redisTarget,
    command,
    wardZone,
    ...gap,
    slack: { apiUrl, serves },
    redisCopies,
    logLevel,
    tracesTo,
  };
}

interface Ask {
  part: PartBehind;
  wardId: string;
  number: number;
}

/** What a process was asked for and isn't over yet. */
function askedList() {
  const asks = new Map<string, Ask>();
  let numbers = 0;
  const keyOf = ({ part, wardId }: Pick<Ask, 'part' | 'wardId'>) => `${part} ${wardId}`;
  return {
    add(part: PartBehind, wardId: string): Ask {
      const ask = { part, wardId, number: ++numbers };
      asks.set(keyOf(ask), ask);
      return ask;
    },
    /** One that was asked for again since isn't over. */
    over(ask: Ask) {
      if (asks.get(keyOf(ask))?.number === ask.number) asks.delete(keyOf(ask));
    },
    has: (part: PartBehind, wardId: string) => asks.has(keyOf({ part, wardId })),
    all: (): Ask[] => [...asks.values()],
    isEmpty: () => asks.size === 0,
  };
}

interface Beside {
  ask(part: PartBehind, wardId: string): void;
  owes(part: PartBehind, wardId: string): boolean;
  stop(patienceMs: number): Promise<void>;
}

/** The process at work. `ended` hears what it still owed, and why it ended where nobody asked it to. */
function startBeside(
  { idleMs = usualIdleMs, patienceMs = usualPatienceMs, program }: HandoverProcess,
  task: HandoverTask,
  watch: Watch,
  ended: (owed: Ask[], why: string | null) => void,
): Beside {
  const child = forked(program);
  const owed = askedList();
  let isLetGo = false;
  let timer: NodeJS.Timeout | undefined;
  const letGo = (why: string | null) => {
    if (isLetGo) return;
    isLetGo = true;
    clearTimeout(timer);
    ended(owed.all(), why);
    if (why === null) tell(child, { what: 'stop' });
  };
  const waitOn = () => {
    clearTimeout(timer);
    if (isLetGo) return;
    timer = owed.isEmpty()
      ? setTimeout(() => letGo(null), idleMs)
      : setTimeout(() => child.kill('SIGKILL'), patienceMs);
    timer.unref();
  };
  child.on('message', (said: SaidByProcess) => {
    if (said.what === 'watched') return passOn(watch, said);
    owed.over(said);
    waitOn();
  });
  child.once('exit', (code, signal) => letGo(`it ended with ${signal ?? code}`));
  child.once('error', (cause) => letGo(cause.message));
  tell(child, { what: 'begin', task });
  return {
    ask(part, wardId) {
      const wasIdle = owed.isEmpty();
      const ask = owed.add(part, wardId);
      if (wasIdle) waitOn();
      tell(child, { what: 'ask', ...ask });
    },
    owes: owed.has,
    async stop(stopMs) {
      letGo(null);
      if (child.exitCode !== null || child.signalCode !== null) return;
      await within(stopMs, once(child, 'exit')).catch(() => undefined);
      child.kill('SIGKILL');
    },
  };
}

/** The process, which doesn't keep its parent from ending. What Node was told for the parent alone isn't for it. */
function forked(program = new URL('./handovers-process.ts', import.meta.url)): ChildProcess {
  const child = fork(program, {
    execArgv: smallMemory,
    serialization: 'advanced',
    stdio: ['ignore', 'inherit', 'inherit', 'ipc'],
  });
  child.unref();
  child.channel?.unref();
  return child;
}

/** Told to one that has just ended, it is lost; its end says so. */
function tell(child: ChildProcess, told: ToldToProcess): void {
  if (child.connected) child.send(told, () => undefined);
}

function passOn(watch: Watch, { call, args }: Extract<SaidByProcess, { what: 'watched' }>): void {
  Reflect.apply(watch[call], watch, args);
}
