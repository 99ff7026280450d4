import { randomBytes, timingSafeEqual } from 'node:crypto';
import type { IncomingMessage, ServerResponse } from 'node:http';
import {
  type Answer,
  answered,
  doPageAct,
  mostSharedMegabytes,
  problem,
  shareFromPage,
  tooLarge,
} from './page-acts.ts';
import { pageFile } from './page-files.ts';
import { type ClockAnswer, clockSchema, type Problem, sceneSchema } from './page-messages.ts';
import { type PageClock, pageSnapshot, usualMessages } from './page-snapshot.ts';
import type { Platform, Route } from './platform/platform.ts';
import { parseForm, readBody } from './platform/request-body.ts';
import { sendJson } from './platform/web-api.ts';
import { playScene } from './scenes.ts';

const guards = {
  'content-security-policy':
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'cache-control': 'no-store',
};
const keepAliveMs = 15_000;
/** What a multipart form may add to its files. */
const formExtraBytes = 100_000;

/** The ward behind one page. */
interface PageWard {
  platform: Platform;
  time: PageClock;
  /** Of scenes played and wards emptied, one at a time. */
  isSetting: boolean;
}

/** One request from the page, its token checked. */
interface Asked {
  request: IncomingMessage;
  response: ServerResponse;
  url: URL;
}

type Doing = (ward: PageWard, asked: Asked) => unknown;

const same = (left: string, right: string) =>
  left.length === right.length && timingSafeEqual(Buffer.from(left), Buffer.from(right));

/** True for what comes from the page itself: it knows the token of this start, and no other website sent it. */
function isAllowed({ request, url }: Asked, token: string): boolean {
  const { origin, host } = request.headers;
  if (origin !== undefined && origin !== `http://${host}`) return false;
  if (request.method === 'POST' && origin === undefined) return false;
  const given = request.headers['x-practice-token'] ?? url.searchParams.get('token') ?? '';
  return typeof given === 'string' && same(given, token);
}

const give = ({ response }: Asked, { status, answer }: Answer) => sendJson(response, status, answer, guards);

/** Does what a JSON body asks for and gives the answer. */
const posted =
  (run: (ward: PageWard, body: unknown) => Promise<Answer>): Doing =>
  async (ward, asked) => {
    const text = (await readBody(asked.request)).toString('utf8');
    let body: unknown;
    try {
      body = JSON.parse(text);
    } catch {
      give(asked, problem(400, 'Not JSON.'));
      return;
    }
    give(asked, await run(ward, body));
  };

const giveState: Doing = ({ platform, time }, asked) => {
  const limit = Number(asked.url.searchParams.get('limit')) || usualMessages;
  give(asked, { status: 200, answer: pageSnapshot(platform, time, limit) });
};

const streamChanges: Doing = ({ platform, time }, { request, response }) => {
  response.writeHead(200, { 'content-type': 'text/event-stream', ...guards });
  const notify = () => response.write('data: change\n\n');
  const stops = [platform.on('change', notify), time.hurried?.onChange(notify)];
  const beat = setInterval(() => response.write(': still here\n\n'), keepAliveMs);
  request.on('close', () => {
    clearInterval(beat);
    for (const stop of stops) stop?.();
  });
  notify();
};

const giveFile: Doing = ({ platform }, asked) => {
  const id = asked.url.pathname.split('/')[3] ?? '';
  const stored = platform.core.workspace.files.get(id);
  if (!stored) {
    give(asked, problem(404, `There is no file ${id}.`));
    return;
  }
  const attached = stored.mimetype.startsWith('image/')
    ? {}
    : { 'content-disposition': `attachment; filename*=UTF-8''${encodeURIComponent(stored.name)}` };
  asked.response
    .writeHead(200, { 'content-type': stored.mimetype, ...guards, ...attached })
    .end(Buffer.from(stored.bytesBase64, 'base64'));
};

const share: Doing = async ({ platform }, asked) => {
  const { request } = asked;
  const mostBytes = mostSharedMegabytes * 1_000_000 + formExtraBytes;
  if (Number(request.headers['content-length'] ?? 0) > mostBytes) {
    // What still comes is read and dropped: a browser that is not listened to shows no answer.
    request.resume();
    give(asked, tooLarge);
    return;
  }
  const body = await readBody(request, mostBytes);
  let form: unknown;
  try {
    form = await parseForm(request, body);
  } catch {
    give(asked, problem(400, 'Not a form with files.'));
    return;
  }
  give(asked, await shareFromPage(platform, form));
};

async function setClock({ time }: PageWard, body: unknown): Promise<Answer<ClockAnswer | Problem>> {
  const { hurried, nextEventAt } = time;
  const parsed = clockSchema.safeParse(body);
  if (!parsed.success) return problem(400, 'The ward clock runs at 1, 60 or 600.');
  if (!hurried) return problem(409, 'This ward’s clock cannot be hurried.');
  if ('rate' in parsed.data) hurried.setRate(parsed.data.rate);
  else {
    const atMs = (await nextEventAt?.()) ?? null;
    if (atMs === null) return problem(200, 'Nothing is waiting to happen.');
    hurried.jumpTo(atMs);
  }
  return { status: 200, answer: { nowMs: hurried.now(), rate: hurried.rate() } };
}

/** A scene on a ward without messages, or the ward emptied for one. */
async function setScene(ward: PageWard, body: unknown): Promise<Answer> {
  const { platform, time } = ward;
  const { hurried, emptyRecord } = time;
  const parsed = sceneSchema.safeParse(body);
  if (!parsed.success || !hurried) return problem(400, 'There is no such scene.');
  if (ward.isSetting) return problem(409, 'A scene is being set already.');
  ward.isSetting = true;
  try {
    const change = parsed.data;
    if ('play' in change) return await answered(() => playScene(platform, hurried, change.play));
    if (!emptyRecord) return problem(409, 'This ward cannot be emptied.');
    return await answered(async () => {
      await emptyRecord();
      platform.core.views.clearAll();
      platform.core.ephemerals.length = 0;
      platform.core.notified.length = 0;
      platform.core.workspace.record({ kind: 'cleared' });
      return {};
    });
  } finally {
    ward.isSetting = false;
  }
}

const routes: Readonly<Record<string, Doing>> = {
  'GET /practice/state': giveState,
  'GET /practice/events': streamChanges,
  'GET /practice/files/': giveFile,
  'POST /practice/share': share,
  'POST /practice/act': posted(({ platform }, body) => doPageAct(platform, body)),
  'POST /practice/clock': posted(setClock),
  'POST /practice/scene': posted(setScene),
};

/**
 * The practice page and what it talks to: `/`, `/page/…` and `/practice/…`. The latter need the token drawn at each
 * start and written into the page, and no foreign Origin, so that no other website can drive the ward.
 */
export function practicePage(platform: Platform, time: PageClock): Route {
  const token = randomBytes(18).toString('base64url');
  const ward: PageWard = { platform, time, isSetting: false };
  return async (request, response) => {
    const url = new URL(request.url ?? '/', 'http://localhost');
    const { pathname } = url;
    const asked = { request, response, url };
    if (pathname.startsWith('/practice/')) {
      const path = pathname.startsWith('/practice/files/') ? '/practice/files/' : pathname;
      const run = routes[`${request.method} ${path}`];
      if (!isAllowed(asked, token))
        give(asked, problem(403, 'Not from this page. Open the practice ward’s address again.'));
      else if (!run) give(asked, problem(404, `Nothing is served at ${pathname}.`));
      else await run(ward, asked);
      return true;
    }
    if (request.method !== 'GET') return false;
    const file = pageFile(pathname === '/' ? 'index.html' : (/^\/page\/(.+)$/.exec(pathname)?.[1] ?? ''));
    if (!file) return false;
    response
      .writeHead(200, { 'content-type': file.contentType, ...guards })
      .end(file.text.replaceAll('%PRACTICE_TOKEN%', token));
    return true;
  };
}
