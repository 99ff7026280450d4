import os from 'node:os';
import { quantile } from '../../src/domain/statistics/quantile.ts';
import { runWard } from './run-ward.ts';
import { type Manner, manners } from './staff.ts';
import { Tally } from './tally.ts';

const wardDays = Number(process.argv[2] ?? 1000);
const daysARun = 5;
const say = (line: string) => void process.stdout.write(`${line}\n`);
const per = (count: number, of: number, digits = 2) => (of === 0 ? '–' : (count / of).toFixed(digits));

function figures(lines: number, manner: Manner): void {
  const tally = new Tally();
  const runs = Math.max(1, Math.round(wardDays / daysARun));
  for (let run = 0; run < runs; run++) runWard(tally, { lines, days: daysARun, manner, seed: `quiet ${run}` });
  const lineDays = tally.lineHours / 24;
  say(`${lines} lines, ${manner.name} staff, ${runs * daysARun} ward-days`);
  say(`  reminders a line-day        ${per(tally.count('reminders'), lineDays)}`);
  say(`  ward channel, posts an hour ${per(tally.count('posts to ward'), tally.wardHours)}`);
  say(`  nurse, messages an hour     ${per(tally.count('posts to nurse') + tally.count('visits'), tally.nurseHours)}, by direct message ${per(tally.count('posts to nurse'), tally.nurseHours)}`);
  const nights = tally.clinicianNights;
  say(`  clinician, by night (12 h)  ${per(nights.reduce((sum, n) => sum + n, 0), nights.length)}; with nothing dangerous ${per(tally.calmNights.reduce((sum, n) => sum + n, 0), tally.calmNights.length)} (${tally.calmNights.length} nights)`);
  say(`  clinician, by day (12 h)    ${per(tally.count('clinician by day'), tally.wardHours / 24)}`);
  say(`  most to one person in 1 h   ${tally.mostToOneInAnHour}`);
  const told = tally.dangerToldMin;
  if (told.length > 0) say(`  danger told after, min      median ${q(told, 0.5)}, most ${q(told, 1)} (${told.length})`);
  for (const [kind, late] of tally.lateMin)
    say(`    ${kind.padEnd(13)} late, min: median ${q(late, 0.5)}, 95 % ${q(late, 0.95)}, most ${q(late, 1)} (${late.length})`);
  say(`  ${Object.entries(tally.counts).map(([name, count]) => `${name} ${count}`).join('; ')}`);
}

function q(of: readonly number[], share: number): string {
  return quantile(of.toSorted((a, b) => a - b), share).toFixed(1);
}

say(`${os.cpus()[0]?.model?.trim() ?? 'unknown processor'}; Node ${process.versions.node}. Virtual clock; staff and patients invented.`);
const only = process.argv[3]?.split(',');
for (const lines of [4, 12, 40])
  for (const manner of Object.values(manners))
    if (!only || only.includes(`${lines}`) && only.includes(manner.name)) figures(lines, manner);
