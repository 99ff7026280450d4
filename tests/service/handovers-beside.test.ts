import { setTimeout as pause } from 'node:timers/promises';
import { expect, it, onTestFinished } from 'vitest';
import type { PartBehind } from '../../src/app/app-deps.ts';
import type { Watch } from '../../src/app/ports.ts';
import { createLog } from '../../src/observe/log.ts';
import { type HandoverProcess, handoversBeside } from '../../src/service/handovers-beside.ts';

const program = new URL('./process-for-tests.ts', import.meta.url);

type Parts = Parameters<typeof handoversBeside>[1];

/** A bot whose process does as `command` says; what is done in the bot is told as `here`, what the process says as `beside`. */
function bot(command: 'do' | 'die' | 'fail' | 'hang', how: Partial<HandoverProcess> = {}) {
  const here: string[] = [];
  const beside: string[] = [];
  const troubles: string[] = [];
  const few = (part: PartBehind) => ({
    ask: (wardId: string) => void here.push(`${part} ${wardId}`),
    has: () => false,
    stop: () => void here.push(`${part} stopped`),
  });
  const watch: Watch = {
    entryAccepted() {},
    conflict() {},
    notified() {},
    posted: (outcome) => void beside.push(outcome),
    repaired() {},
    trouble: (_what, _ids, cause) => void troubles.push(String(cause)),
  };
  let nowMs = 0;
  const handoverProcess = { redisCopies: 0, logLevel: 'silent', tracesTo: null, program, ...how } as const;
  const parts = {
    handoverProcess,
    redisTarget: { path: '/nowhere' },
    log: createLog({ level: 'silent', pretty: false }),
    command,
    wardZone: 'UTC',
    slack: { apiUrl: '', serves: { botToken: '' } },
  } as Parts;
  const { behind, stop } = handoversBeside(
    { calendars: few('calendars'), handovers: few('handovers'), files: few('files') },
    parts,
    { watch, realNow: () => nowMs },
  );
  onTestFinished(() => stop(5_000));
  return {
    here,
    beside,
    troubles,
    stop,
    ask: (...names: string[]) => {
      for (const name of names) behind.calendars.ask(name);
    },
    askFor: behind,
    later: (ms: number) => {
      nowMs += ms;
    },
  };
}

async function until(what: () => boolean): Promise<void> {
  for (let look = 0; look < 400 && !what(); look++) await pause(25);
  expect(what()).toBe(true);
}

const pidIn = (said: string | undefined) => Number.parseInt(said?.split(' in ')[1] ?? '', 10);

async function isGone(pid: number): Promise<boolean> {
  for (let look = 0; look < 200; look++) {
    try {
      process.kill(pid, 0);
    } catch {
      return true;
    }
    await pause(25);
  }
  return false;
}

const five = ['a', 'b', 'c', 'd', 'e'];
const hereOf = (...names: string[]) => names.map((name) => `calendars ${name}`);

it('does few wards’ handovers in the bot, however often they are asked for', async () => {
  const { ask, here, beside } = bot('do');
  ask(...five, ...five, ...five);
  await pause(100);
  expect(here).toEqual(hereOf(...five, ...five, ...five));
  expect(beside).toEqual([]);
});

it('does those of many in one process, and few a minute later in the bot again', async () => {
  const { ask, askFor, later, here, beside, troubles } = bot('do');
  ask(...five, 'f', 'g');
  askFor.handovers.ask('a');
  expect(askFor.calendars.has('a')).toBe(false);
  expect(askFor.calendars.has('f')).toBe(true);
  await until(() => !askFor.calendars.has('f'));
  await until(() => beside.length === 3);
  expect(here).toEqual(hereOf(...five));
  expect(beside.map((said) => said.split(' in ')[0])).toEqual(['calendars f', 'calendars g', 'handovers a']);
  expect(new Set(beside.map(pidIn))).not.toContain(process.pid);
  expect(new Set(beside.map(pidIn)).size).toBe(1);
  later(61_000);
  ask('h');
  expect(here.at(-1)).toBe('calendars h');
  expect(troubles).toEqual([]);
}, 30_000);

it('starts the process without what Node was told for the bot alone', async () => {
  const { ask, beside } = bot('do');
  ask(...five, 'f');
  await until(() => beside.length === 1);
  // `npm start` loads a module into the bot that listens on descriptor 3, which here is the line to the bot.
  expect(beside[0]?.split(' with ')[1]).toBe('--max-semi-space-size=8 --heap-growing-percent=50');
}, 30_000);

it('ends the process when it owes nothing for a while, and starts another for the next many', async () => {
  const { ask, beside, troubles } = bot('do', { idleMs: 200 });
  ask(...five, 'f');
  await until(() => beside.length === 1);
  const pid = pidIn(beside[0]);
  expect(await isGone(pid)).toBe(true);
  ask('g');
  await until(() => beside.some((said) => said.startsWith('calendars g')));
  expect(pidIn(beside.at(-1))).not.toBe(pid);
  expect(troubles).toEqual([]);
}, 30_000);

it('does what a dying process still owed in the bot, and all else for a minute', async () => {
  const { ask, later, here, beside, troubles } = bot('die');
  ask(...five, 'f', 'g', 'h');
  await until(() => troubles.length > 0);
  expect(troubles).toEqual(['Error: it ended with SIGKILL']);
  expect(here).toEqual(hereOf(...five, 'g', 'h'));
  ask('i');
  expect(here.at(-1)).toBe('calendars i');
  later(60_000);
  ask('k', 'l', 'm', 'n', 'o', 'p');
  await until(() => beside.some((said) => said.startsWith('calendars p')));
  expect(here.at(-1)).toBe('calendars o');
}, 30_000);

it('takes no answer to an earlier ask for one to the latest', async () => {
  const { ask, here, troubles } = bot('die');
  // The first is over, and asked for again before the process dies.
  ask(...five, 'f', 'f', 'g');
  await until(() => troubles.length > 0);
  expect(here.slice(five.length).toSorted()).toEqual(hereOf('f', 'g'));
}, 30_000);

it.each([
  ['can’t start', 'fail', {}, '3'],
  ['hangs', 'hang', { patienceMs: 300 }, 'SIGKILL'],
] as const)(
  'does it in the bot where the process %s',
  async (_, command, how, why) => {
    const { ask, here, troubles } = bot(command, how);
    ask(...five, 'f', 'g');
    await until(() => troubles.length > 0);
    expect(troubles).toEqual([`Error: it ended with ${why}`]);
    expect(here).toEqual(hereOf(...five, 'f', 'g'));
  },
  30_000,
);

it('stops the process with the bot, and begins nothing after', async () => {
  const { ask, stop, here, beside, troubles } = bot('hang');
  ask(...five, 'f');
  await until(() => beside.length === 1);
  await stop(5_000);
  expect(beside.at(-1)).toBe('stopped');
  expect(await isGone(pidIn(beside[0]))).toBe(true);
  expect(here.slice(five.length)).toEqual(['calendars stopped', 'handovers stopped', 'files stopped']);
  expect(troubles).toEqual([]);
}, 30_000);
