import type { Duty } from '../../src/domain/duties/duty.ts';
import { isClinicians } from '../../src/domain/duty-kind.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { newWard } from '../../src/domain/ward/ward-state.ts';
import { chanceFrom } from '../../src/invented/chance.ts';
import { SimulatedWard } from './simulated-ward.ts';
import { clinician, type Manner, nursesOn, Staff } from './staff.ts';
import { type Tally, WardWatch } from './tally.ts';

const minuteMs = 60_000;
const hourMs = 60 * minuteMs;
/** A Tuesday, 07:00 UTC, when a day shift begins. */
const startMs = Date.UTC(2026, 10, 24, 7);

/** One ward to be run: so many lines at a time, for so many days, by people of one manner. */
export interface Run {
  lines: number;
  days: number;
  manner: Manner;
  seed: string;
}

/** Runs one ward and adds what it came to. The same run comes to the same, on any machine. */
export function runWard(tally: Tally, { lines, days, manner, seed }: Run): void {
  const policy = { ...defaultPolicy('UTC'), rota: { day: clinician, night: clinician } };
  /** What is seen on a limb or a trace, a cat's limit, a source that has run dry, a flush so late that a clot is likely. */
  const dangerousFrom = ({ kind, dueAt }: Duty): number | null => {
    if (isClinicians(kind) || kind === 'dwellLimit') return dueAt;
    if (kind === 'flush') return dueAt + policy.flushGraceMin.clinician * minuteMs;
    return kind === 'runOut' ? dueAt + policy.runOutMarginMin * minuteMs : null;
  };
  const watch = new WardWatch(tally, dangerousFrom);
  let staff: Staff | null = null;
  const ward: SimulatedWard = new SimulatedWard(newWard('T0QUIET.C0WARD', policy), startMs, {
    posted(post, now) {
      watch.posted(post, now, ward.ward, ward.lines);
      staff?.hears(post);
    },
    added: (duties, reader, madeAt, now) => watch.added(duties, reader, madeAt, now),
    open: (duties) => watch.open(duties),
    cleared: (duty, now) => watch.cleared(duty, now),
  });
  staff = new Staff(ward, chanceFrom(`${seed}/${manner.name}/${lines}`), manner, lines);
  const untilMs = startMs + days * 24 * hourMs;
  staff.begin(untilMs);
  ward.run(untilMs);
  watch.end(ward.ward, startMs, untilMs);
  tally.lineHours += lines * days * 24;
  for (const shift of [startMs, startMs + 12 * hourMs])
    tally.nurseHours += nursesOn(ward, shift, lines).length * days * 12;
  tally.wardHours += days * 24;
}
