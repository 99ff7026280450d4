import { randomBytes, timingSafeEqual } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import type { IncomingMessage, ServerResponse } from 'node:http';
import { z } from 'zod';
import { doPageAct, mostSharedMegabytes, shareFromPage, tooLarge } from './page-acts.ts';
import { type PageClock, pageSnapshot, usualMessages } from './page-snapshot.ts';
import type { Platform, Route } from './platform/platform.ts';
import { parseForm, readBody } from './platform/request-body.ts';
import { sendJson } from './platform/web-api.ts';
import { playScene } from './scenes.ts';

const folder = new URL('./page/', import.meta.url);
const contentTypes: Record<string, string> = {
  html: 'text/html; charset=utf-8',
  css: 'text/css; charset=utf-8',
  js: 'text/javascript; charset=utf-8',
  svg: 'image/svg+xml',
};
const guards = {
  'content-security-policy':
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'",
  'x-content-type-options': 'nosniff',
  'referrer-policy': 'no-referrer',
  'cross-origin-opener-policy': 'same-origin',
  'cross-origin-resource-policy': 'same-origin',
  'cache-control': 'no-store',
};
const clockSchema = z.union([
  z.strictObject({ rate: z.union([z.literal(1), z.literal(60), z.literal(600)]) }),
  z.strictObject({ jump: z.literal(true) }),
]);
const sceneSchema = z.union([
  z.strictObject({ play: z.string().max(40) }),
  z.strictObject({ reset: z.literal(true) }),
]);
const actsOf: ReadonlySet<string> = new Set(['/practice/act', '/practice/clock', '/practice/scene']);
const keepAliveMs = 15_000;
/** What a multipart form may add to its files. */
const formExtraBytes = 100_000;

const same = (left: string, right: string) =>
  left.length === right.length && timingSafeEqual(Buffer.from(left), Buffer.from(right));

/**
 * The practice page and what it talks to: `/`, `/page/…` and `/practice/…`. The latter need the token drawn at each
 * start and written into the page, and no foreign Origin, so that no other website can drive the ward.
 */
export function practicePage(platform: Platform, time: PageClock): Route {
  const token = randomBytes(18).toString('base64url');
  const files = new Set(readdirSync(folder));

  const file = (response: ServerResponse, name: string) => {
    const text = readFileSync(new URL(name, folder), 'utf8').replaceAll('%PRACTICE_TOKEN%', token);
    const type = contentTypes[name.slice(name.lastIndexOf('.') + 1)] ?? 'text/plain';
    response.writeHead(200, { 'content-type': type, ...guards }).end(text);
  };

  const isAllowed = (request: IncomingMessage, url: URL) => {
    const { origin, host } = request.headers;
    if (origin !== undefined && origin !== `http://${host}`) return false;
    if (request.method === 'POST' && origin === undefined) return false;
    const given = request.headers['x-practice-token'] ?? url.searchParams.get('token') ?? '';
    return typeof given === 'string' && same(given, token);
  };

  const stream = (request: IncomingMessage, response: ServerResponse) => {
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

  const picture = (response: ServerResponse, id: string) => {
    const stored = platform.core.workspace.files.get(id);
    if (!stored) sendJson(response, 404, { problem: `There is no file ${id}.` });
    else
      response
        .writeHead(200, {
          'content-type': stored.mimetype,
          ...guards,
          ...(stored.mimetype.startsWith('image/')
            ? {}
            : { 'content-disposition': `attachment; filename*=UTF-8''${encodeURIComponent(stored.name)}` }),
        })
        .end(Buffer.from(stored.bytesBase64, 'base64'));
  };

  const share = async (request: IncomingMessage) => {
    const mostBytes = mostSharedMegabytes * 1_000_000 + formExtraBytes;
    if (Number(request.headers['content-length'] ?? 0) > mostBytes) {
      // What still comes is read and dropped: a browser that is not listened to shows no answer.
      request.resume();
      return tooLarge;
    }
    const body = await readBody(request, mostBytes);
    try {
      return await shareFromPage(platform, await parseForm(request, body));
    } catch {
      return { status: 400, answer: { problem: 'Not a form with files.' } };
    }
  };

  const setClock = async (body: unknown) => {
    const { hurried, nextEventAt } = time;
    const parsed = clockSchema.safeParse(body);
    if (!parsed.success) return { status: 400, answer: { problem: 'The ward clock runs at 1, 60 or 600.' } };
    if (!hurried) return { status: 409, answer: { problem: 'This ward’s clock cannot be hurried.' } };
    if ('rate' in parsed.data) {
      hurried.setRate(parsed.data.rate);
      return { status: 200, answer: { nowMs: hurried.now(), rate: hurried.rate() } };
    }
    const atMs = (await nextEventAt?.()) ?? null;
    if (atMs === null) return { status: 200, answer: { problem: 'Nothing is waiting to happen.' } };
    hurried.jumpTo(atMs);
    return { status: 200, answer: { nowMs: hurried.now(), rate: hurried.rate(), jumpedToMs: atMs } };
  };

  /** A scene on a ward without messages, or the ward emptied for one. Of either one at a time. */
  let isSetting = false;
  const setScene = async (body: unknown) => {
    const parsed = sceneSchema.safeParse(body);
    const { hurried, emptyRecord } = time;
    if (!parsed.success || !hurried) return { status: 400, answer: { problem: 'There is no such scene.' } };
    if (isSetting) return { status: 409, answer: { problem: 'A scene is being set already.' } };
    isSetting = true;
    try {
      if ('play' in parsed.data)
        return { status: 200, answer: await playScene(platform, hurried, parsed.data.play) };
      if (!emptyRecord) return { status: 409, answer: { problem: 'This ward cannot be emptied.' } };
      await emptyRecord();
      platform.core.views.clearAll();
      platform.core.ephemerals.length = 0;
      platform.core.notified.length = 0;
      platform.core.workspace.record({ kind: 'cleared' });
      return { status: 200, answer: {} };
    } catch (cause) {
      return { status: 409, answer: { problem: cause instanceof Error ? cause.message : String(cause) } };
    } finally {
      isSetting = false;
    }
  };
  const doPosted = (pathname: string, body: unknown) => {
    if (pathname === '/practice/act') return doPageAct(platform, body);
    return pathname === '/practice/scene' ? setScene(body) : setClock(body);
  };

  const practice = async (request: IncomingMessage, response: ServerResponse, url: URL) => {
    const what = `${request.method} ${url.pathname}`;
    if (!isAllowed(request, url))
      sendJson(response, 403, { problem: 'Not from this page. Open the practice ward’s address again.' });
    else if (what === 'GET /practice/state') {
      const limit = Number(url.searchParams.get('limit') ?? usualMessages) || usualMessages;
      sendJson(response, 200, pageSnapshot(platform, time, limit), guards);
    } else if (what === 'GET /practice/events') stream(request, response);
    else if (what.startsWith('GET /practice/files/')) picture(response, url.pathname.split('/')[3] ?? '');
    else if (what === 'POST /practice/share') {
      const done = await share(request);
      sendJson(response, done.status, done.answer, guards);
    } else if (actsOf.has(url.pathname) && request.method === 'POST') {
      const text = (await readBody(request)).toString('utf8');
      let body: unknown;
      try {
        body = JSON.parse(text);
      } catch {
        sendJson(response, 400, { problem: 'Not JSON.' });
        return;
      }
      const done = await doPosted(url.pathname, body);
      sendJson(response, done.status, done.answer, guards);
    } else sendJson(response, 404, { problem: `Nothing is served at ${url.pathname}.` });
  };

  return async (request, response) => {
    const url = new URL(request.url ?? '/', 'http://localhost');
    if (url.pathname.startsWith('/practice/')) {
      await practice(request, response, url);
      return true;
    }
    if (request.method !== 'GET') return false;
    if (url.pathname === '/') {
      file(response, 'index.html');
      return true;
    }
    const name = /^\/page\/([a-z-]+\.(?:js|css|svg))$/.exec(url.pathname)?.[1];
    if (name === undefined || !files.has(name)) return false;
    file(response, name);
    return true;
  };
}
