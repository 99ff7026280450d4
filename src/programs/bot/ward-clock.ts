import path from 'node:path';
import { type Clock, type HurriedClock, hurriedClock, machineClock } from '../../app/clock.ts';
import type { Log } from '../../observe/log.ts';
import { practiceClock } from '../../practice/practice-clock.ts';
import type { Service } from '../../service/service.ts';
import type { Config } from '../config.ts';
import type { Stop } from './stops.ts';

/** The ward's clock; `hurried` is the same where it may run faster or jump, else null. */
export interface WardClock {
  clock: Clock;
  hurried: HurriedClock | null;
}

/** The machine's own clock on a real ward, one that can be hurried on any other. */
export function wardClock(config: Config, stops: Stop[]): WardClock {
  const startMs = config.clock?.startMs ?? Date.now();
  const rate = config.clock?.rate ?? 1;
  if (config.mode === 'practice') {
    const kept = practiceClock(path.join(config.dataDir, 'practice', 'clock.json'), { startMs, rate });
    stops.push({ what: 'practice clock', stop: () => kept.stop() });
    return { clock: kept.clock, hurried: kept.clock };
  }
  if (config.clock === null) return { clock: machineClock, hurried: null };
  const hurried = hurriedClock(startMs, rate);
  return { clock: hurried, hurried };
}

/**
 * A jump or another rate makes every delay in the job queue wrong at once: the sweep sets them anew from the record.
 * One sweep at a time; a change during it asks for one more.
 */
export function sweepWhenHurried(
  hurried: HurriedClock | null,
  service: Service,
  log: Log,
  stops: Stop[],
): void {
  if (!hurried) return;
  let running: Promise<void> | null = null;
  let again = false;
  const sweep = () => {
    if (running) {
      again = true;
      return;
    }
    running = service.cases
      .sweepWards({ deep: false })
      .catch((err: unknown) => log.error({ err }, 'the sweep after a change of the clock failed'))
      .finally(() => {
        running = null;
        if (again) {
          again = false;
          sweep();
        }
      });
  };
  const stopListening = hurried.onChange(sweep);
  stops.push({
    what: 'sweep on clock changes',
    stop: async () => {
      stopListening();
      again = false;
      await running;
    },
  });
}
