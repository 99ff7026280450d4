import { flushFluid, sourceInUse } from '../../domain/fluid/flush-fluid.ts';
import { hasSide } from '../../domain/line/anatomy.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { animalName } from './animal-names.ts';
import { fluidWords } from './fluid-words.ts';

/** Who decides, as the standing caution ends. */
export const whoDecides = 'The attending clinician, hospital protocol and local codes decide.';
/** What every surface that asks or advises says once. */
export const standingCaution = `A reminder and a record, not a monitor. ${whoDecides}`;
/** The same where every character counts. */
export const briefCaution = 'Not a monitor. The clinician and your protocols decide.';

const halfDayMs = 12 * 3_600_000;

/**
 * A ward time: the clock alone within half a day of `now`, else with its day. Always the ward's own wall clock; in the
 * hour that comes twice in autumn it says which of the two, `02:30 (first, UTC+2)`.
 */
export function clockText(policy: WardPolicy, atMs: number, now: number): string {
  const { zone } = policy.shifts;
  const withDay = wallClockWithDay(zone, atMs);
  if (Math.abs(atMs - now) >= halfDayMs) return withDay;
  const which = withDay.indexOf(' (');
  return which === -1 ? wallClock(zone, atMs) : wallClock(zone, atMs) + withDay.slice(which);
}

/** `25 min`, `2 h 5 min`, `3 d 4 h`: whole minutes, two units at most. */
export function spanText(ms: number): string {
  const minutes = Math.max(0, Math.floor(ms / 60_000));
  if (minutes < 60) return `${minutes} min`;
  const hours = Math.floor(minutes / 60);
  if (hours < 48) return minutes % 60 === 0 ? `${hours} h` : `${hours} h ${minutes % 60} min`;
  return hours % 24 === 0 ? `${hours / 24} d` : `${Math.floor(hours / 24)} d ${hours % 24} h`;
}

/** `20 min late`, or `now`: by whole wall-clock minutes, so that it fits the due time and the time shown beside it. */
export function lateText(dueAt: number, at: number): string {
  const minute = (ms: number) => Math.floor(ms / 60_000);
  const minutes = minute(at) - minute(dueAt);
  return minutes < 1 ? 'now' : `${spanText(minutes * 60_000)} late`;
}

/** `left dorsal pedal`, `median caudal`: where a line is. */
export function placeWords({ side, site }: Pick<LineState, 'side' | 'site'>): string {
  return side !== null && hasSide(site) ? `${side} ${site}` : site;
}

/** `L dorsal pedal`: the same where room is short. */
export function placeShort({ side, site }: Pick<LineState, 'side' | 'site'>): string {
  return side ? `${side === 'left' ? 'L' : 'R'} ${site}` : site;
}

/** `Biscuit (left dorsal pedal)`, rich text. */
export function lineWords(line: LineState): string {
  return `${line.patient.name} (${placeWords(line)})`;
}

/** `dog, 28 kg`. */
export function animalWords({ patient }: Pick<LineState, 'patient'>): string {
  return `${animalName(patient)}, ${patient.weightKg} kg${patient.bleeding ? ', bleeding disorder' : ''}`;
}

/** `by hand, every 60 min` or `continuous, pressure bag 250 mL at 3 mL/h, 300 mmHg (2.6 mL/kg/day, 5 % of maintenance)`. */
export function flushWords(line: LineState, policy: WardPolicy, now: number): string {
  if (line.flushMode === 'manual') {
    const { isMuchFluid, isMuchHeparin } = flushFluid(line, policy, now);
    const much = isMuchFluid || isMuchHeparin ? ` (${fluidWords(line, policy, now)})` : '';
    return `by hand, every ${policy.flushEveryMin} min${heparinWords(line)}${much}`;
  }
  const { source } = line;
  if (!source) return 'continuous, source not recorded';
  const volume = source.volumeMl === undefined ? '' : ` ${source.volumeMl} mL`;
  const rate = source.rateMlPerH === undefined ? '' : ` at ${source.rateMlPerH} mL/h`;
  const pressure = source.pressureMmHg === undefined ? '' : `, ${source.pressureMmHg} mmHg`;
  const gives = fluidWords(line, policy, now);
  const fluid = gives === '' ? '' : ` (${gives})`;
  return `continuous, ${source.kind}${volume}${rate}${pressure}${heparinWords(line)}${fluid}`;
}

function heparinWords(line: LineState): string {
  const heparinUPerMl = sourceInUse(line)?.heparinUPerMl;
  return heparinUPerMl === undefined || heparinUPerMl === 0 ? '' : `, heparin ${heparinUPerMl} U/mL`;
}
