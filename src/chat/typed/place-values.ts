import type { Gauge, Side, Site } from '../../domain/line/anatomy.ts';
import { weightKgRange } from '../../domain/patient/body-weight.ts';
import type { Species } from '../../domain/patient/species.ts';
import type { failures } from '../../domain/placing/failed-tries.ts';
import type { FlushSource } from '../../domain/record/entry.ts';
import type { Field, Unit } from '../verbs/verb.ts';

/** What a line is registered with, as far as it is known. Units as named. */
export interface PlaceValues {
  name?: string;
  species?: Species;
  /** What it is called where that is more than the species says. */
  speciesName?: string;
  weightKg?: number;
  site?: Site;
  side?: Side;
  gauge?: Gauge;
  /** False for a capped line that only gives samples. */
  transducer?: boolean;
  flushMode?: 'manual' | 'continuous';
  sourceKind?: FlushSource['kind'];
  volumeMl?: number;
  rateMlPerH?: number;
  pressureMmHg?: number;
  /** In the flush, however the line is flushed. */
  heparinUPerMl?: number;
  bleeding?: boolean;
  indication?: string;
  /** Who held the catheter. */
  operator?: string;
  /** Whom the line is with. */
  nurse?: string;
  tries?: number;
  /** Of tries that came to no line. */
  why?: (typeof failures)[number];
}

/** Longest reason for a line that is kept, in characters. */
export const longestIndication = 120;

const quantity = (
  id: string,
  label: string,
  unit: Unit,
  min: number,
  max: number,
): Field & { kind: 'quantity' } => ({
  kind: 'quantity',
  id,
  label,
  unit,
  min,
  max,
});

/** The numbers a line is registered with, their units and bounds; shared by words and form. */
export const placeQuantities = {
  weightKg: quantity('weightKg', 'Weight', 'kg', weightKgRange.min, weightKgRange.max),
  volumeMl: quantity('volumeMl', 'Volume in the bag or syringe', 'mL', 1, 3000),
  rateMlPerH: quantity('rateMlPerH', 'Rate', 'mL/h', 0.1, 50),
  pressureMmHg: quantity('pressureMmHg', 'Bag pressure', 'mmHg', 0, 400),
  heparinUPerMl: quantity('heparinUPerMl', 'Heparin', 'U/mL', 0, 100),
} as const;
