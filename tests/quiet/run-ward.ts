import { chanceFrom } from '../../src/demo/chance.ts';
import type { Duty } from '../../src/domain/duties/duty.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { newWard } from '../../src/domain/ward/ward-state.ts';
import { SimulatedWard } from './simulated-ward.ts';
import { clinician, lead, type Manner, nursesOn, Staff } from './staff.ts';
import { type Tally, WardWatch } from './tally.ts';

const hourMs = 3_600_000;
/** A Tuesday, 07:00 UTC, when a day shift begins. */
export const startMs = Date.UTC(2026, 10, 24, 7);

/** Runs one ward of `lines` lines for `days` days and adds what it came to. */
export function runWard(tally: Tally, { lines, days, manner, seed }: { lines: number; days: number; manner: Manner; seed: string }): void {
  const chance = chanceFrom(`${seed}/${manner.name}/${lines}`);
  const policy = { ...defaultPolicy('UTC'), rota: { day: clinician, night: clinician }, lead };
  const watch = new WardWatch(tally);
  const isDanger = ({ kind, dueAt }: Duty, now: number) =>
    kind === 'finding' ||
    kind === 'dwellWarning' ||
    kind === 'fault' ||
    (kind === 'dwellLimit' && dueAt <= now) ||
    (kind === 'runOut' && dueAt + policy.runOutMarginMin * 60_000 <= now) ||
    (kind === 'flush' && dueAt + policy.flushGraceMin.clinician * 60_000 <= now);
  let staff: Staff | null = null;
  const ward: SimulatedWard = new SimulatedWard(newWard('T0QUIET.C0WARD', policy), startMs, {
    posted(post, now) {
      watch.posted(post, now, ward.ward, (duty) => isDanger(duty, now));
      staff?.hears(post);
    },
    cleared: (duty, now) => watch.cleared(duty, now),
  });
  staff = new Staff(ward, chance, manner, lines);
  const untilMs = startMs + days * 24 * hourMs;
  staff.begin(untilMs);
  ward.run(untilMs);
  watch.end(ward.ward, startMs, untilMs);
  tally.lineHours += lines * days * 24;
  for (const shift of [startMs, startMs + 12 * hourMs]) tally.nurseHours += nursesOn(ward, shift, lines).length * days * 12;
  tally.wardHours += days * 24;
}
