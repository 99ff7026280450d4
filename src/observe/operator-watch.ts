import type { Watch } from '../app/ports.ts';
import type { Log } from './log.ts';
import type { Metrics } from './metrics.ts';

/** What the app reports of its work, counted in the metrics and, where an operator must act, written to the log. */
export function operatorWatch(metrics: Metrics, log: Log): Watch {
  return {
    entryAccepted(kind) {
      metrics.entriesAccepted.inc({ kind });
    },
    conflict() {
      metrics.conflicts.inc();
    },
    notified(step, lateMs) {
      metrics.nudgesSent.inc({ step });
      metrics.nudgeLatenessSeconds.observe(Math.max(0, lateMs) / 1000);
    },
    posted(outcome) {
      metrics.posts.inc({ outcome });
    },
    repaired(count) {
      if (count <= 0) return;
      metrics.sweepRepairs.inc(count);
      log.warn({ repairs: count }, 'set wake-ups again that were missing or wrong');
    },
    trouble(what, ids, cause) {
      metrics.troubles.inc();
      log.error(cause === undefined ? ids : { ...ids, err: cause }, what);
    },
  };
}
