import { type DestinationStream, pino } from 'pino';
import pinoPretty from 'pino-pretty';
import { type LogFields, safeEvent, safeFields } from './safe-fields.ts';

/** How much is logged, least to most. */
export const logLevels = ['silent', 'fatal', 'error', 'warn', 'info', 'debug', 'trace'] as const;

/** One of `logLevels`. */
export type LogLevel = (typeof logLevels)[number];

/** Where the bot reports to the operator what it does. `event` is fixed text written by us, never built from input. */
export interface Log {
  debug(fields: LogFields, event: string): void;
  info(fields: LogFields, event: string): void;
  warn(fields: LogFields, event: string): void;
  error(fields: LogFields, event: string): void;
}

/** How a log is written. */
export interface LogOptions {
  level: LogLevel;
  /** Lines for people (practice ward) instead of JSON for machines. */
  pretty: boolean;
  /** Standard output when absent. */
  destination?: DestinationStream;
}

/**
 * The bot's log: one JSON object a line with time, level, process id, event and ids. Patient names, weights, words of
 * messages and tokens cannot get in, because only known keys with id-like values are written (see safe-fields.ts).
 */
export function createLog({ level, pretty, destination }: LogOptions): Log {
  const options = {
    level,
    base: { pid: process.pid },
    timestamp: pino.stdTimeFunctions.isoTime,
    formatters: { level: (label: string) => ({ level: label }) },
  };
  const target = destination ?? pino.destination({ dest: 1, sync: true });
  const inWords = pinoPretty.prettyFactory({ colorize: false, translateTime: 'HH:MM:ss', ignore: 'pid' });
  const stream: DestinationStream = pretty ? { write: (line) => target.write(inWords(line)) } : target;
  const writer = pino(options, stream);
  return {
    debug: (fields, event) => writer.debug(safeFields(fields), safeEvent(event)),
    info: (fields, event) => writer.info(safeFields(fields), safeEvent(event)),
    warn: (fields, event) => writer.warn(safeFields(fields), safeEvent(event)),
    error: (fields, event) => writer.error(safeFields(fields), safeEvent(event)),
  };
}
