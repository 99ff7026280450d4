import type { Log } from './log.ts';
import type { LogFields } from './safe-fields.ts';

/** Spans that begin a trace of their own, wherever they are begun. */
const firstSpans = ['command', 'press', 'form', 'event', 'wake-up', 'delivery', 'sweep'] as const;
/** Names of spans. There is no other, so none can hold the name of a patient or a person. */
export const spanNames = [...firstSpans, 'ack', 'commit', 'slack'] as const;
export type SpanName = (typeof spanNames)[number];

export function beginsTrace(name: SpanName): boolean {
  return firstSpans.some((one) => one === name);
}

/** Where the time goes, told to a collector of traces. */
export interface Traces {
  /** Does the work as a span within the one it is called in. Of `details` only what a log line may hold is told. */
  span<T>(name: SpanName, details: LogFields, work: () => Promise<T>): Promise<T>;
  /** Tells what waits to be told, and no more after it. */
  stop(): Promise<void>;
}

/** Nobody collects traces. */
export const noTraces: Traces = { span: (_name, _details, work) => work(), stop: async () => undefined };

/** Who collects traces, and how the bot is called there. */
export interface Collector {
  /** Its address, without the path of the traces. */
  endpoint: string;
  service: string;
}

/** Traces told to a collector; null: to nobody, and none of what it takes is loaded. */
export async function openTraces(collector: Collector | null, log: Log): Promise<Traces> {
  if (collector === null) return noTraces;
  const { otlpTraces } = await import('./otlp-traces.ts');
  return otlpTraces(collector, log);
}
