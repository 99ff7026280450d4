import { type ChildProcess, spawn } from 'node:child_process';
import { once } from 'node:events';
import { bareEnv } from '../support/bare-env.ts';

interface Shown {
  ts: string;
  text: string;
  blocks?: { block_id?: string; elements?: { action_id?: string }[] }[];
}

/** What the practice page knows, as far as these tests look at it. */
export interface PageState {
  clock: { nowMs: number };
  messages: Record<string, Shown[]>;
  ephemerals: Shown[];
  views: Record<string, { id: string }>;
}

/** The whole bot as a process of its own, driven only through what its practice page talks to. */
export interface PracticeProcess {
  origin: string;
  state(): Promise<PageState>;
  act(act: Record<string, unknown>): Promise<Record<string, unknown>>;
  jump(): Promise<void>;
  /** The first value that is neither undefined nor false, asked for again and again. */
  until<T>(what: string, look: (state: PageState) => T | undefined | false): Promise<T>;
  kill(signal: 'SIGKILL' | 'SIGTERM'): Promise<number | null>;
}

const startPatienceMs = 20_000;
const lookPatienceMs = 20_000;

const hoursAhead = ((10 - new Date().getUTCHours() + 36) % 24) - 12;
/**
 * A zone in which it is about ten in the morning, the middle of a shift: no handover falls due by chance while a test looks.
 * Its offset is fixed, and zones of that kind have their signs the other way round (tz database, file etcetera).
 */
export const midShiftZone =
  hoursAhead === 0 ? 'Etc/GMT' : `Etc/GMT${hoursAhead > 0 ? '-' : '+'}${Math.abs(hoursAhead)}`;

/** Starts `src/programs/bot/main.ts` on any free port with its data under `dataDir`. */
export async function startPracticeProcess(dataDir: string): Promise<PracticeProcess> {
  const child = spawn(process.execPath, ['src/programs/bot/main.ts'], {
    env: { ...bareEnv, DATA_DIR: dataDir, PORT: '0', LOG_LEVEL: 'warn', WARD_TZ: midShiftZone },
    stdio: ['ignore', 'pipe', 'pipe'],
  });
  const origin = await originOf(child);
  const page = await (await fetch(origin)).text();
  const token = /[A-Za-z0-9_-]{24}/.exec(page.slice(page.indexOf('token')))?.[0] ?? '';
  const headers = { 'x-practice-token': token, origin, 'content-type': 'application/json' };
  const post = async (path: string, body: unknown) =>
    (await (
      await fetch(`${origin}${path}`, { method: 'POST', headers, body: JSON.stringify(body) })
    ).json()) as Record<string, unknown>;
  const state = async () =>
    (await (await fetch(`${origin}/practice/state`, { headers })).json()) as PageState;
  return {
    origin,
    state,
    act: (act) => post('/practice/act', act),
    jump: async () => void (await post('/practice/clock', { jump: true })),
    async until(what, look) {
      const end = Date.now() + lookPatienceMs;
      for (;;) {
        const found = look(await state());
        if (found !== undefined && found !== false) return found;
        if (Date.now() > end) throw new Error(`waited in vain for ${what}`);
        await new Promise((resolve) => setTimeout(resolve, 100));
      }
    },
    async kill(signal) {
      const ended = once(child, 'exit');
      child.kill(signal);
      const [code] = (await ended) as [number | null];
      return code;
    },
  };
}

function originOf(child: ChildProcess): Promise<string> {
  return new Promise((resolve, reject) => {
    let said = '';
    const timer = setTimeout(
      () => reject(new Error(`the bot did not say where it is: ${said}`)),
      startPatienceMs,
    );
    const hear = (chunk: Buffer) => {
      said += chunk.toString();
      const origin = /http:\/\/localhost:\d+/.exec(said)?.[0];
      if (!origin) return;
      clearTimeout(timer);
      resolve(origin);
    };
    child.stdout?.on('data', hear);
    child.stderr?.on('data', hear);
    child.once('exit', (code) => reject(new Error(`the bot ended with ${code}: ${said}`)));
  });
}
