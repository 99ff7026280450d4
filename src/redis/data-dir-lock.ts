import { randomUUID } from 'node:crypto';
import { linkSync, readFileSync, renameSync, rmSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import * as z from 'zod';
import { processIdentity } from './process-identity.ts';

const holderSchema = z.object({ pid: z.int().positive(), run: z.string().nullable() });
type Holder = z.infer<typeof holderSchema>;

/** Thrown when another live process holds the data folder. Its message is a plain sentence for the operator. */
export class DataDirBusyError extends Error {
  constructor(dataDir: string, pid: number) {
    super(
      `Dicrotic already runs on DATA_DIR ${dataDir} (process ${pid}): stop that process first, or give this one its own DATA_DIR and PORT.`,
    );
    this.name = 'DataDirBusyError';
  }
}

/** A held data folder. */
export interface DataDirLock {
  release(): void;
}

function readHolder(file: string): { text: string; holder: Holder | null } | null {
  let text: string;
  try {
    text = readFileSync(file, 'utf8');
  } catch {
    return null;
  }
  try {
    return { text, holder: holderSchema.parse(JSON.parse(text)) };
  } catch {
    return { text, holder: null };
  }
}

function isRunning({ pid, run }: Holder): boolean {
  if (pid === process.pid) return run === processIdentity(pid);
  const runNow = processIdentity(pid);
  return runNow !== null && (run === null || run === runNow);
}

/** Puts a complete file in place or fails with EEXIST; nobody ever reads half of it. */
function putInPlace(file: string, text: string): boolean {
  const draft = `${file}.${randomUUID()}`;
  writeFileSync(draft, text, { mode: 0o600 });
  try {
    linkSync(draft, file);
    return true;
  } catch (error) {
    if ((error as NodeJS.ErrnoException).code === 'EEXIST') return false;
    throw error;
  } finally {
    rmSync(draft, { force: true });
  }
}

/** Takes a dead holder's file away; puts it back when it turns out to be a newer one. */
function clearAway(file: string, seenText: string): void {
  const aside = `${file}.${randomUUID()}`;
  try {
    renameSync(file, aside);
  } catch {
    return;
  }
  if (readHolder(aside)?.text !== seenText) {
    try {
      linkSync(aside, file);
    } catch {
      // A third process was quicker: its file stands.
    }
  }
  rmSync(aside, { force: true });
}

/**
 * Holds `<dataDir>/dicrotic.lock` for this process. A lock left by a process that died is taken over.
 * @throws DataDirBusyError when a live process holds it
 */
export function lockDataDir(dataDir: string): DataDirLock {
  const file = path.join(dataDir, 'dicrotic.lock');
  const text = JSON.stringify({ pid: process.pid, run: processIdentity(process.pid), token: randomUUID() });
  for (let attempt = 0; attempt < 10; attempt += 1) {
    if (putInPlace(file, text)) {
      return {
        release() {
          if (readHolder(file)?.text === text) rmSync(file, { force: true });
        },
      };
    }
    const found = readHolder(file);
    if (found === null) continue;
    if (found.holder !== null && isRunning(found.holder))
      throw new DataDirBusyError(dataDir, found.holder.pid);
    clearAway(file, found.text);
  }
  throw new Error(
    `The lock file ${file} keeps changing hands: make sure that only one process starts on this DATA_DIR, then start again.`,
  );
}
