import { describe, expect, test } from 'vitest';
import type { Log } from '../../src/observe/log.ts';
import { createMetrics } from '../../src/observe/metrics.ts';
import { operatorWatch } from '../../src/observe/operator-watch.ts';

function watching() {
  const lines: [string, object, string][] = [];
  const keep = (level: string) => (fields: object, event: string) => void lines.push([level, fields, event]);
  const log: Log = { debug: keep('debug'), info: keep('info'), warn: keep('warn'), error: keep('error') };
  const metrics = createMetrics({ withProcessMetrics: false });
  return { lines, watch: operatorWatch(metrics, log), shown: () => metrics.registry.metrics() };
}

describe('operatorWatch', () => {
  test('counts what the app reports', async () => {
    const { watch, shown } = watching();
    watch.entryAccepted('flushed');
    watch.entryAccepted('flushed');
    watch.conflict();
    watch.notified('clinician', 90_000);
    watch.posted('unclear');
    const text = await shown();
    expect(text).toContain('dicrotic_entries_accepted_total{kind="flushed"} 2\n');
    expect(text).toContain('dicrotic_conflicts_total 1\n');
    expect(text).toContain('dicrotic_nudges_sent_total{step="clinician"} 1\n');
    expect(text).toContain('dicrotic_nudge_lateness_seconds_sum 90\n');
    expect(text).toContain('dicrotic_posts_total{outcome="unclear"} 1\n');
  });

  test('counts a nudge that was early as on time', async () => {
    const { watch, shown } = watching();
    watch.notified('ward', -40);
    expect(await shown()).toContain('dicrotic_nudge_lateness_seconds_sum 0\n');
  });

  test('raises a warning when a wake-up had to be repaired, and none when all stood', async () => {
    const { watch, shown, lines } = watching();
    watch.repaired(0);
    expect(lines).toEqual([]);
    watch.repaired(3);
    expect(lines).toEqual([['warn', { repairs: 3 }, 'set wake-ups again that were missing or wrong']]);
    expect(await shown()).toContain('dicrotic_sweep_repairs_total 3\n');
  });

  test('logs and counts a trouble with its cause', async () => {
    const { watch, shown, lines } = watching();
    const cause = new Error('lost');
    watch.trouble('a post was given up', { wardId: 'T01.C0123' }, cause);
    expect(lines).toEqual([['error', { wardId: 'T01.C0123', err: cause }, 'a post was given up']]);
    expect(await shown()).toContain('dicrotic_troubles_total 1\n');
  });
});
