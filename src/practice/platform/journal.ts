import { closeSync, existsSync, mkdirSync, openSync, readFileSync, truncateSync, writeSync } from 'node:fs';
import { dirname } from 'node:path';

/** An append-only file of one JSON record a line. */
export interface Journal<Entry> {
  /** Everything written before, oldest first. */
  readonly past: readonly Entry[];
  append(entry: Entry): void;
  close(): void;
}

/**
 * Opens the journal at `path`, or one that keeps nothing when no path is given. Each entry is handed to the system
 * before `append` returns, so a killed process loses none; a last line cut short by a crash is dropped.
 * @throws when an earlier line cannot be read, naming the line and what to do.
 */
export function openJournal<Entry>(path: string | undefined): Journal<Entry> {
  if (path === undefined) return { past: [], append: () => {}, close: () => {} };
  mkdirSync(dirname(path), { recursive: true });
  const past = existsSync(path) ? readJournal<Entry>(path) : [];
  const file = openSync(path, 'a');
  let open = true;
  return {
    past,
    append(entry) {
      if (open) writeSync(file, `${JSON.stringify(entry)}\n`);
    },
    close() {
      if (open) closeSync(file);
      open = false;
    },
  };
}

function readJournal<Entry>(path: string): Entry[] {
  const bytes = readFileSync(path);
  const wholeBytes = bytes.lastIndexOf(0x0a) + 1;
  // The next append would otherwise continue the torn line and spoil both.
  if (wholeBytes < bytes.length) truncateSync(path, wholeBytes);
  const lines = bytes.subarray(0, wholeBytes).toString('utf8').split('\n').slice(0, -1);
  return lines.map((line, index) => {
    try {
      return JSON.parse(line) as Entry;
    } catch (cause) {
      throw new Error(
        `The practice ward's journal ${path} cannot be read at line ${index + 1} of ${lines.length}. ` +
          'Move the file away to start an empty practice ward.',
        { cause },
      );
    }
  });
}
