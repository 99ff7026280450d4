import { flushFluid } from '../../domain/fluid/flush-fluid.ts';
import { usualFlushMl } from '../../domain/fluid/usual-flush.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { rich } from '../rich-text.ts';

/** What flushing gives in a day: `28.8 mL/kg/day, 58 % of maintenance; heparin 29 U/kg/day`; empty where it is not known. */
export function fluidWords(line: LineState, policy: WardPolicy, now: number): string {
  const { mlPerKgPerDay, maintenancePercent, heparinUPerKgPerDay, isMuchFluid, withoutVolume, lines } =
    flushFluid(line, policy, now);
  if (mlPerKgPerDay === null) return '';
  const round = (value: number) => Math.round(value * 10) / 10;
  const heparin =
    heparinUPerKgPerDay === null || heparinUPerKgPerDay === 0
      ? ''
      : `; heparin ${round(heparinUPerKgPerDay)} U/kg/day`;
  const share = maintenancePercent === null ? '' : `, ${Math.round(maintenancePercent)} % of maintenance`;
  const much = isMuchFluid ? '; above the ward’s limit: count it into the fluid plan' : '';
  const guessed =
    withoutVolume === 0
      ? ''
      : `; ${withoutVolume} ${withoutVolume === 1 ? 'flush' : 'flushes'} with no volume recorded`;
  const over = lines > 1 ? ` over ${lines} lines` : '';
  return `${round(mlPerKgPerDay)} mL/kg/day${over}${share}${heparin}${guessed}${much}`;
}

/** A flush that's large for the animal, which somebody must look at again: `*20 mL* is a lot for an animal of 4.2 kg. …` */
export function largeFlushWords(volumeMl: number, usualMl: number, weightKg: number): string {
  return rich`*${volumeMl} mL* is a lot for an animal of ${weightKg} kg: this ward’s usual flush is ${usualMl} mL. Look at the syringe again. Is it right?`;
}

/** `Flushed 0.5 mL`: the tap that records a flush, with the volume it writes down. */
export function flushedWords({ patient }: Pick<LineState, 'patient'>, policy: WardPolicy): string {
  return `Flushed ${usualFlushMl(policy, patient.weightKg)} mL`;
}

/** `12 hand flushes, 6 mL; 2 with no volume recorded count as 0.5 mL each`: since placing; empty where there was none. */
export function flushesWords(
  { flushCount, flushesWithoutVolume, flushedMl, patient }: LineState,
  policy: WardPolicy,
): string {
  if (flushCount === 0) return '';
  const usualMl = usualFlushMl(policy, patient.weightKg);
  const ml = Math.round((flushedMl + flushesWithoutVolume * usualMl) * 10) / 10;
  const flushes = `${flushCount} hand ${flushCount === 1 ? 'flush' : 'flushes'}, ${ml} mL`;
  if (flushesWithoutVolume === 0) return flushes;
  const each = flushesWithoutVolume === 1 ? `counts as ${usualMl} mL` : `count as ${usualMl} mL each`;
  return `${flushes}; ${flushesWithoutVolume} with no volume recorded ${each}`;
}
