import { mkdirSync, readFileSync, renameSync, writeFileSync } from 'node:fs';
import path from 'node:path';
import { z } from 'zod';
import { type HurriedClock, hurriedClock } from '../app/clock.ts';

const savedSchema = z.object({ wardMs: z.number().finite(), realMs: z.number().finite() });

/** How often a hurried clock's standing is saved, ms of real time. */
const saveEveryMs = 1_000;

/** A practice ward's clock, and how to let go of it. */
export interface PracticeClock {
  clock: HurriedClock;
  stop(): void;
}

/**
 * The ward clock of a practice ward, kept in `file`: started again, even after a kill, it goes on from where it stood
 * (at 1×), so that nothing on record lies in its future. `startMs` and `rate` count for a new ward only.
 */
export function practiceClock(file: string, start: { startMs: number; rate: number }): PracticeClock {
  const saved = readSaved(file);
  const clock = saved
    ? hurriedClock(saved.wardMs + Math.max(0, Date.now() - saved.realMs), 1)
    : hurriedClock(start.startMs, start.rate);
  mkdirSync(path.dirname(file), { recursive: true });
  const save = () => {
    // Written aside and put in place at once: a kill in the middle leaves the old standing.
    writeFileSync(`${file}.new`, JSON.stringify({ wardMs: clock.now(), realMs: Date.now() }));
    renameSync(`${file}.new`, file);
  };
  save();
  const timer = setInterval(save, saveEveryMs).unref();
  const stopListening = clock.onChange(save);
  return {
    clock,
    stop() {
      clearInterval(timer);
      stopListening();
      save();
    },
  };
}

function readSaved(file: string): z.infer<typeof savedSchema> | null {
  try {
    return savedSchema.parse(JSON.parse(readFileSync(file, 'utf8')));
  } catch {
    return null;
  }
}
