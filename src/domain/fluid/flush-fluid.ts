import type { LineState } from '../record/line-state.ts';

/**
 * Fluid a continuous flush gives the animal, mL per kg and day; null in manual mode or where the rate is not known.
 * `rate (mL/h) × 24 / weight (kg)`. It counts into the fluid plan: in two children's ICUs fluid given only to keep devices
 * open reached 20 % or more of hourly intake on a third of patient-days (Gaetani et al., PLoS ONE 2024,
 * doi:10.1371/journal.pone.0309650).
 *
 * Example: 3 mL/h in a cat of 2.5 kg is 28.8 mL/kg/day, about half of what it needs in all.
 */
export function flushMlPerKgPerDay(line: Pick<LineState, 'flushMode' | 'source' | 'patient'>): number | null {
  const rateMlPerH = line.source?.rateMlPerH;
  if (line.flushMode !== 'continuous' || rateMlPerH === undefined) return null;
  return (rateMlPerH * 24) / line.patient.weightKg;
}
