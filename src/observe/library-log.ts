import type { Log } from './log.ts';

/** The logger that the Slack libraries accept; described here by its shape, so that this folder need not know them. */
export interface LibraryLog {
  debug(...words: unknown[]): void;
  info(...words: unknown[]): void;
  warn(...words: unknown[]): void;
  error(...words: unknown[]): void;
  setLevel(level: unknown): void;
  getLevel(): never;
  setName(name: string): void;
}

/** The part of a library's sentence that it wrote itself: up to the first thing that may quote somebody. */
export function ownWords(words: readonly unknown[]): string {
  const sentence = words.find((word) => typeof word === 'string') ?? '';
  return /^[A-Za-z ,.'-]*/.exec(sentence)?.[0].trim() ?? '';
}

/**
 * Lets a library's warnings and errors through to our log, without what they quote: payloads and tokens appear in them.
 * `library` names it in the event text. Debug and info of a library are dropped.
 */
export function libraryLog(log: Log, library: string): LibraryLog {
  const event = (words: readonly unknown[]) => `${library}: ${ownWords(words) || 'no words of its own'}`;
  const details = (words: readonly unknown[]) => {
    const err = words.find((word) => word instanceof Error);
    return err === undefined ? {} : { err };
  };
  return {
    debug() {},
    info() {},
    warn: (...words) => log.warn(details(words), event(words)),
    error: (...words) => log.error(details(words), event(words)),
    setLevel() {},
    // The libraries compare it with their own levels; ours is decided by LOG_LEVEL.
    getLevel: () => 'warn' as never,
    setName() {},
  };
}
