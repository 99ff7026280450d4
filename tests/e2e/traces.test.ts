import { once } from 'node:events';
import { createServer } from 'node:http';
import type { AddressInfo } from 'node:net';
import { text } from 'node:stream/consumers';
import { afterAll, beforeAll, describe, expect, it, onTestFinished } from 'vitest';
import { createLog } from '../../src/observe/log.ts';
import { openTraces, spanNames, type Traces } from '../../src/observe/traces.ts';
import { hour, ina } from '../support/bot-on-platform.ts';
import { botTests, place, within } from '../support/bot-tests.ts';
import { type SharedRedis, sharedRedis } from '../support/shared-redis.ts';

/** A span as OTLP/JSON has it (opentelemetry.io, OTLP 1.x, `ExportTraceServiceRequest`). */
interface Span {
  name: string;
  traceId: string;
  spanId: string;
  parentSpanId?: string;
  attributes: { key: string; value: Record<string, unknown> }[];
  status: { code?: number; message?: string };
}

/** A collector that takes traces over HTTP, and all that it was sent. */
async function collector() {
  const bodies: string[] = [];
  const server = createServer((request, response) => {
    void text(request).then((body) => {
      if (request.url === '/v1/traces' && request.headers['content-type'] === 'application/json')
        bodies.push(body);
      response.setHeader('content-type', 'application/json').end('{}');
    });
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  onTestFinished(() => void server.close());
  const { port } = server.address() as AddressInfo;
  const traces = await openTraces(
    { endpoint: `http://127.0.0.1:${port}`, service: 'dicrotic' },
    createLog({ level: 'silent', pretty: false }),
  );
  return {
    traces,
    said: () => bodies.join('\n'),
    spans: (): Span[] =>
      bodies.flatMap((body) =>
        (JSON.parse(body) as { resourceSpans: { scopeSpans: { spans: Span[] }[] }[] }).resourceSpans.flatMap(
          ({ scopeSpans }) => scopeSpans.flatMap(({ spans }) => spans),
        ),
      ),
  };
}

/** Names of a span and those above it, the outermost first. */
function pathOf(span: Span, all: readonly Span[]): string {
  const above = all.find(({ spanId, traceId }) => spanId === span.parentSpanId && traceId === span.traceId);
  return above ? `${pathOf(above, all)} > ${span.name}` : span.name;
}

let redis: SharedRedis;
beforeAll(async () => {
  redis = await sharedRedis();
});
afterAll(() => redis.stop());
const startBot = botTests();

describe('traces', () => {
  it('tell a press from its ack to its answer, a wake-up and what it brings; no name of anybody', async () => {
    const { traces, spans, said } = await collector();
    const bot = await startBot({ mode: 'http', redis, traces });
    await place(bot, 'Biscuit dog 28kg left dorsal pedal 20g manual');
    bot.clock.jumpTo(bot.clock.now() + 6 * hour);
    await bot.wake();
    await bot.press(ina, 'done:flush', within(bot, 'card'));
    await bot.quiet();
    await traces.stop();
    const all = spans();
    const paths = new Set(all.map((span) => pathOf(span, all)));
    expect(paths).toContain('press > ack');
    expect(paths).toContain('press > commit');
    expect(paths).toContain('press > slack');
    expect(paths).toContain('form > commit');
    expect(paths).toContain('wake-up > commit');
    expect(paths).toContain('delivery > slack');
    for (const { name } of all) expect(spanNames).toContain(name);
    // Every parent that is named was told too.
    const ids = new Set(all.map(({ spanId }) => spanId));
    expect(all.filter(({ parentSpanId }) => parentSpanId && !ids.has(parentSpanId))).toEqual([]);
    const methods = all.flatMap(({ attributes }) =>
      attributes.flatMap(({ key, value }) => (key === 'method' ? [value['stringValue']] : [])),
    );
    expect(methods).toContain('chat.postMessage');
    for (const name of ['Biscuit', 'Ina', ina]) expect(said()).not.toContain(name);
  });
});

describe('a span', () => {
  it('tells of details and errors only what a log line may hold', async () => {
    const { traces, spans, said } = await collector();
    const failing = traces.span('delivery', { wardId: 'T01.C01', patient: 'Biscuit', key: 'Biscuit' }, () =>
      traces.span('slack', { method: 'chat.update' }, async () => {
        throw new RangeError('Biscuit is out');
      }),
    );
    await expect(failing).rejects.toThrow('Biscuit is out');
    await traces.stop();
    const [slack, delivery] = spans();
    expect(slack?.attributes).toEqual([
      { key: 'method', value: { stringValue: 'chat.update' } },
      { key: 'error.type', value: { stringValue: 'RangeError' } },
    ]);
    expect(slack?.status).toEqual({ code: 2 });
    expect(delivery?.attributes).toContainEqual({ key: 'wardId', value: { stringValue: 'T01.C01' } });
    expect(said()).not.toContain('Biscuit');
  });

  it('is just the work where nobody collects', async () => {
    const traces: Traces = await openTraces(null, createLog({ level: 'silent', pretty: false }));
    const work = Promise.resolve(7);
    expect(traces.span('press', {}, () => work)).toBe(work);
  });
});
