import { AsyncLocalStorage } from 'node:async_hooks';
import {
  type Attributes,
  type Context,
  DiagLogLevel,
  diag,
  ROOT_CONTEXT,
  SpanStatusCode,
  trace,
} from '@opentelemetry/api';
import { OTLPTraceExporter } from '@opentelemetry/exporter-trace-otlp-http';
import { resourceFromAttributes } from '@opentelemetry/resources';
import { BatchSpanProcessor, TracerProvider } from '@opentelemetry/sdk-trace';
import { libraryLog } from './library-log.ts';
import type { Log } from './log.ts';
import { type LogFields, safeFields } from './safe-fields.ts';
import { beginsTrace, type Collector, type Traces } from './traces.ts';

/** How long a stop waits for the collector, ms. */
const stopPatienceMs = 3_000;

/**
 * Tells spans to a collector over OTLP/HTTP, as JSON, in batches and beside all else: one that is away costs spans, never a reminder.
 * Headers and time-outs are the standard's own environment variables, which the library reads.
 */
export function otlpTraces({ endpoint, service }: Collector, log: Log): Traces {
  const library = libraryLog(log, 'traces');
  diag.setLogger(
    { ...library, verbose() {} },
    { logLevel: DiagLogLevel.WARN, suppressOverrideMessage: true },
  );
  const exporter = new OTLPTraceExporter({ url: `${endpoint.replace(/\/$/, '')}/v1/traces` });
  const provider = new TracerProvider({
    resource: resourceFromAttributes({ 'service.name': service }),
    spanProcessors: [new BatchSpanProcessor({ exporter })],
  });
  const tracer = provider.getTracer('dicrotic');
  const within = new AsyncLocalStorage<Context>();
  return {
    async span(name, details, work) {
      const parent = beginsTrace(name) ? ROOT_CONTEXT : (within.getStore() ?? ROOT_CONTEXT);
      const span = tracer.startSpan(name, { attributes: attributesOf(details) }, parent);
      try {
        return await within.run(trace.setSpan(parent, span), work);
      } catch (cause) {
        span.setStatus({ code: SpanStatusCode.ERROR });
        span.setAttributes(attributesOf({ err: cause }));
        throw cause;
      } finally {
        span.end();
      }
    },
    async stop() {
      const patience = new Promise<void>((resolve) => setTimeout(resolve, stopPatienceMs).unref());
      await Promise.race([provider.shutdown().catch(() => undefined), patience]);
    },
  };
}

/** What may be told of details, flat: of an error its kind and its code. */
function attributesOf(details: LogFields): Attributes {
  const { err, ...plain } = safeFields(details) as Attributes & { err?: { type?: string; code?: string } };
  return {
    ...plain,
    ...(err?.type === undefined ? {} : { 'error.type': err.type }),
    ...(err?.code === undefined ? {} : { code: err.code }),
  };
}
