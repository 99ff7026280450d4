import { flushFluid } from '../../domain/fluid/flush-fluid.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';

/** What flushing gives in a day: `28.8 mL/kg/day, 58 % of maintenance; heparin 29 U/kg/day`; empty where it is not known. */
export function fluidWords(line: LineState, policy: WardPolicy, now: number): string {
  const { mlPerKgPerDay, maintenancePercent, heparinUPerKgPerDay, isMuch } = flushFluid(line, policy, now);
  if (mlPerKgPerDay === null) return '';
  const round = (value: number) => Math.round(value * 10) / 10;
  const heparin =
    heparinUPerKgPerDay === null || heparinUPerKgPerDay === 0
      ? ''
      : `; heparin ${round(heparinUPerKgPerDay)} U/kg/day`;
  const share = maintenancePercent === null ? '' : `, ${Math.round(maintenancePercent)} % of maintenance`;
  const much = isMuch ? '; above the ward’s limit: count it into the fluid plan' : '';
  return `${round(mlPerKgPerDay)} mL/kg/day${share}${heparin}${much}`;
}
