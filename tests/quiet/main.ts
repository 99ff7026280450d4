import os from 'node:os';
import type { DutyKind } from '../../src/domain/duty-kind.ts';
import { quantile } from '../../src/domain/statistics/quantile.ts';
import { drawNight } from './draw-night.ts';
import { runWard } from './run-ward.ts';
import { type Manner, manners } from './staff.ts';
import { Tally } from './tally.ts';

const [wardDaysTold = '1000', only = ''] = process.argv.slice(2);
if (wardDaysTold === 'night') {
  process.stdout.write(`${drawNight(only === '' ? 'docs/attention-night.png' : only)}\n`);
  process.exit(0);
}
const wardDays = Number(wardDaysTold);
if (!Number.isInteger(wardDays) || wardDays < 5) {
  process.stderr.write(
    `"${wardDaysTold}" is no number of ward-days: give a whole number from 5 on, as in npm run quiet -- 100.\n`,
  );
  process.exit(2);
}
const daysOfARun = 5;
const say = (line: string) => void process.stdout.write(`${line}\n`);

/** Runs wards of one size and manner and prints what they came to. */
function tell(lines: number, manner: Manner): void {
  const tally = new Tally();
  const runs = Math.round(wardDays / daysOfARun);
  for (let run = 1; run <= runs; run++)
    runWard(tally, { lines, days: daysOfARun, manner, seed: `quiet ${run}` });
  say(`${lines} lines, ${manner.name} staff, ${runs * daysOfARun} ward-days`);
  say(`  reminders per line-day                ${rate(tally.count('reminders'), tally.lineHours / 24)}`);
  say(`  ward channel, posts per hour          ${rate(tally.count('to ward'), tally.wardHours)}`);
  say(`  nurse, notifications per hour on      ${rate(tally.count('rings of nurses'), tally.nurseHours)}`);
  say(`  of these, direct messages             ${rate(tally.count('to nurse'), tally.nurseHours)}`);
  say(`  added to a standing message, per hour ${rate(tally.count('added'), tally.wardHours)}`);
  say(`  rewrites of ward messages, per hour   ${rate(tally.count('edits to ward'), tally.wardHours)}`);
  say(`  of direct messages, per hour          ${rate(directEdits(tally), tally.wardHours)}`);
  say(
    `  clinician, messages per night of 12 h ${mean(tally.nights)}; nights without danger ${mean(tally.calmNights)} (${tally.calmNights.length} of ${tally.nights.length})`,
  );
  say(
    `  clinician, messages per day of 12 h   ${rate(tally.count('clinician by day'), tally.wardHours / 24)}`,
  );
  say(`  most messages to one person in 1 h    ${tally.mostInAnHour}`);
  say(`  danger told after, min                ${spread(tally.dangerToldMin)}`);
  say(`  danger: a phone rang after, min       ${spread(tally.dangerRungMin)}`);
  say(`  longest silence with danger open, min ${tally.longestSilenceMin.toFixed(1)}`);
  for (const [kind, late] of [...tally.lateMin].sort(([a], [b]) => (a < b ? -1 : 1)))
    say(`  ${lateTitle(kind)} ${spread(late)}`);
}

const directEdits = (tally: Tally) =>
  ['nurse', 'lead', 'clinician', 'backup'].reduce((sum, to) => sum + tally.count(`edits to ${to}`), 0);
const lateTitle = (kind: DutyKind) => `${kind} done late by, min`.padEnd(37);
const rate = (count: number, of: number) => (of === 0 ? '–' : (count / of).toFixed(2));
const mean = (of: readonly number[]) =>
  rate(
    of.reduce((sum, one) => sum + one, 0),
    of.length,
  );

function spread(of: readonly number[]): string {
  if (of.length === 0) return '–';
  const sorted = of.toSorted((a, b) => a - b);
  const at = (share: number) => (quantile(sorted, share) ?? 0).toFixed(1);
  return `median ${at(0.5)}, 95 % ${at(0.95)}, most ${sorted.at(-1)?.toFixed(1)} (${of.length})`;
}

say(
  `${os.cpus()[0]?.model.trim() ?? 'unknown processor'}; Node ${process.versions.node}. A virtual clock; staff and patients are invented.`,
);
for (const lines of [4, 12, 40])
  for (const manner of Object.values(manners))
    if (only === '' || only === `${lines},${manner.name}`) tell(lines, manner);
