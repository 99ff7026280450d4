import { quantile } from '../../src/domain/statistics/quantile.ts';
import { simulate } from './simulate.ts';

const usage = 'npm run simulate -- --days 200 --seed 1';
const say = (line: string) => void process.stdout.write(`${line}\n`);

function refuse(why: string): never {
  process.stderr.write(`${why}: as in ${usage}\n`);
  process.exit(2);
}

/** What was typed, by its name. */
function asked(words: readonly string[]): { days: number; seed: string; traced: number } {
  const values = new Map([
    ['--days', '200'],
    ['--seed', '1'],
    ['--trace', '300'],
  ]);
  for (let index = 0; index < words.length; index += 2) {
    const [name = '', value] = words.slice(index, index + 2);
    if (!values.has(name) || value === undefined) refuse(`"${name}" is not understood`);
    values.set(name, value);
  }
  const whole = (name: string) => {
    const number = Number(values.get(name));
    if (!Number.isInteger(number) || number < 1) refuse(`${name} takes a whole number from 1 on`);
    return number;
  };
  return { days: whole('--days'), seed: values.get('--seed') ?? '', traced: whole('--trace') };
}

function spread(of: readonly number[]): string {
  if (of.length === 0) return '–';
  const sorted = of.toSorted((a, b) => a - b);
  const at = (share: number) => ((quantile(sorted, share) ?? 0) / 1_000).toFixed(1);
  return `median ${at(0.5)} s, 99 % ${at(0.99)} s, most ${((sorted.at(-1) ?? 0) / 1_000).toFixed(1)} s (${of.length})`;
}

const { days, seed, traced } = asked(process.argv.slice(2));
const { tally, fault } = await simulate({ days, seed });
say(`${tally.days} days of simulated time from seed "${seed}"; a virtual clock, invented people.`);
say(`  from asked for to seen: ${spread(tally.shownAfterMs)}`);
for (const [name, count] of tally.all()) say(`  ${name}: ${count}`);
if (fault === null) {
  for (const [promise, looks] of tally.allLooks()) say(`  ${promise}: checked ${looks} times, broken 0`);
  say('Every promise was kept.');
} else {
  for (const line of fault.trace.slice(-traced)) say(line);
  say(`BROKEN: ${fault.what}`);
  say(`Again: npm run simulate -- --days ${fault.days} --seed "${fault.seed}"`);
  process.exitCode = 1;
}
