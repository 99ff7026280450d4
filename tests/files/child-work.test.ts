import os from 'node:os';
import { setTimeout as pause } from 'node:timers/promises';
import { expect, it } from 'vitest';
import { childWork } from '../../src/files/child-work.ts';
import type { Told } from './child-for-tests.ts';

interface Made {
  pid: number;
  rank: number;
  bytes: Uint8Array;
}

const program = new URL('./child-for-tests.ts', import.meta.url);
const work = (how?: { idleMs?: number; patienceMs?: number }) => childWork<Told, Made>(program, how);

async function isGone(pid: number): Promise<boolean> {
  for (let look = 0; look < 100; look++) {
    try {
      process.kill(pid, 0);
    } catch {
      return true;
    }
    await pause(50);
  }
  return false;
}

it('does one piece after another in one process, behind all else', async () => {
  const ask = work();
  const [first, second] = await Promise.all([ask('who'), ask('who')]);
  expect(first.pid).not.toBe(process.pid);
  expect(second.pid).toBe(first.pid);
  expect(first.rank).toBe(Math.max(10, os.getPriority()));
  expect(first.bytes).toEqual(new Uint8Array([1, 2]));
}, 30_000);

it('says why a piece failed, and goes on with the next', async () => {
  const ask = work();
  const failed = ask('fail');
  const next = ask('who');
  await expect(failed).rejects.toThrow('the font is missing');
  expect((await next).bytes).toHaveLength(2);
}, 30_000);

it('fails what a dying process was at, and starts another for the next', async () => {
  const ask = work();
  const { pid } = await ask('who');
  const died = ask('die');
  const next = ask('who');
  await expect(died).rejects.toThrow('SIGSEGV');
  expect((await next).pid).not.toBe(pid);
}, 30_000);

it('gives up a piece that takes too long, with its process', async () => {
  const ask = work({ patienceMs: 3_000 });
  const { pid } = await ask('who');
  await expect(ask('hang')).rejects.toThrow('SIGKILL');
  expect(await isGone(pid)).toBe(true);
  expect((await ask('who')).pid).not.toBe(pid);
}, 30_000);

it('ends the process when there was nothing to do for a while', async () => {
  const ask = work({ idleMs: 200 });
  const { pid } = await ask('who');
  expect(await isGone(pid)).toBe(true);
  expect((await ask('who')).pid).not.toBe(pid);
}, 30_000);
