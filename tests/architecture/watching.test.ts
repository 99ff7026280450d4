import { spawnSync } from 'node:child_process';
import { readFileSync } from 'node:fs';
import path from 'node:path';
import { describe, expect, test } from 'vitest';
import { parse } from 'yaml';
import * as z from 'zod';
import { passing } from '../../src/observe/health-routes.ts';
import { createMetrics } from '../../src/observe/metrics.ts';

const repository = path.resolve(import.meta.dirname, '..', '..');
const read = (file: string) => readFileSync(path.join(repository, file), 'utf8');

/** Every series there is: what Prometheus makes of a histogram too. */
async function series(): Promise<Set<string>> {
  const metrics = await createMetrics({ withProcessMetrics: true }).registry.getMetricsAsJSON();
  return new Set(
    metrics.flatMap(({ name, type }) =>
      String(type) === 'histogram' ? [`${name}_bucket`, `${name}_sum`, `${name}_count`] : [name],
    ),
  );
}

/** Names of series in an expression: of the bot and of its process. */
function named(expression: string): string[] {
  return expression.match(/\b(?:dicrotic|process|nodejs)_\w+/g) ?? [];
}

// Prometheus' documentation, "Recording rules" and "Alerting rules": groups of rules, each with `alert` and `expr`.
const rulesSchema = z.strictObject({
  groups: z.array(
    z.strictObject({
      name: z.string().min(1),
      rules: z.array(
        z.strictObject({
          alert: z.string().regex(/^[A-Za-z]+$/),
          expr: z.string(),
          for: z
            .string()
            .regex(/^\d+[smh]$/)
            .optional(),
          labels: z.strictObject({ severity: z.literal(['page', 'ticket']) }),
          annotations: z.strictObject({ summary: z.string(), action: z.string() }),
        }),
      ),
    }),
  ),
});

describe('docs/deploy/alerts.yaml', () => {
  const rules = rulesSchema
    .parse(parse(read('docs/deploy/alerts.yaml')))
    .groups.flatMap((group) => group.rules);

  test('has three alerts, each on what the bot really shows', async () => {
    const known = await series();
    expect(rules).toHaveLength(3);
    for (const { expr } of rules) {
      expect(named(expr).length).toBeGreaterThan(0);
      for (const name of named(expr)) expect(known).toContain(name);
    }
  });

  test('has cases that call each of them, on what the bot really shows', async () => {
    const cases = read('docs/deploy/alerts.test.yaml');
    const called = [...cases.matchAll(/ALERTS\{alertname="(\w+)",alertstate="firing"/g)].map(
      ([, name]) => name,
    );
    expect(new Set(called)).toEqual(new Set(rules.map(({ alert }) => alert)));
    const known = await series();
    for (const name of named(cases)) expect(known).toContain(name);
  });

  // Debian's package `prometheus` has it; it isn't installed for this.
  const isMissing = spawnSync('promtool', ['--version']).error !== undefined;
  test.skipIf(isMissing).each([
    ['check', 'docs/deploy/alerts.yaml'],
    ['test', 'docs/deploy/alerts.test.yaml'],
  ])('passes Prometheus’ own promtool %s rules %s', (what, file) => {
    const { status, stdout, stderr } = spawnSync('promtool', [what, 'rules', file], {
      cwd: repository,
      encoding: 'utf8',
    });
    expect(status, stdout + stderr).toBe(0);
  });
});

describe('docs/deploy/dashboard.json', () => {
  const panelSchema = z.object({
    title: z.string(),
    targets: z.array(z.object({ expr: z.string() })).min(1),
  });
  const { panels } = z
    .object({ panels: z.array(panelSchema) })
    .parse(JSON.parse(read('docs/deploy/dashboard.json')));

  test('draws what the bot really shows, and each metric of its own once at least', async () => {
    const known = await series();
    const drawn = panels.flatMap(({ targets }) => targets.flatMap(({ expr }) => named(expr)));
    for (const name of drawn) expect(known).toContain(name);
    const own = (await createMetrics({ withProcessMetrics: false }).registry.getMetricsAsJSON()).map(
      ({ name }) => name,
    );
    const missing = own.filter((name) => !drawn.some((one) => one.startsWith(name)));
    // Redis is among what `dicrotic_ready` draws.
    expect(missing).toEqual(['dicrotic_redis_up']);
  });
});

test('dicrotic_ready shows each check by name', async () => {
  const metrics = createMetrics({ withProcessMetrics: false });
  const checks = {
    redis: () => ({ ok: true }) as const,
    chat: () => ({ ok: false, why: 'away' }) as const,
    hung: () => new Promise<never>(() => undefined),
  };
  metrics.askReadiness(() => passing(checks, 20));
  const text = await metrics.registry.metrics();
  expect(text).toContain('dicrotic_ready{check="redis"} 1\n');
  expect(text).toContain('dicrotic_ready{check="chat"} 0\n');
  expect(text).toContain('dicrotic_ready{check="hung"} 0\n');
});
