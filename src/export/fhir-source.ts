import type { FlushSource } from '../domain/record/entry.ts';
import { inWords, ml, mmHg, quantity } from './fhir-values.ts';

/**
 * A flush source as the parts of an observation. Heparin has its unit in words alone: UCUM knows several units of
 * activity, and the record does not say which was on the label.
 */
export function sourceParts(source: FlushSource): fhir4.ObservationComponent[] {
  const { kind, volumeMl, rateMlPerH, pressureMmHg, heparinUPerMl } = source;
  return [
    { code: inWords('Flush source'), valueCodeableConcept: inWords(kind) },
    ...part('Volume', volumeMl, ml),
    ...part('Rate', rateMlPerH, (value) => quantity(value, 'mL/h', 'mL/h')),
    ...part('Pressure of the bag', pressureMmHg, mmHg),
    ...part('Heparin', heparinUPerMl, (value) => ({ value, unit: 'U/mL' })),
  ];
}

/** A measured part of an observation; none where it was not recorded. */
export function part(
  what: string,
  value: number | undefined,
  of: (value: number) => fhir4.Quantity,
): fhir4.ObservationComponent[] {
  return value === undefined ? [] : [{ code: inWords(what), valueQuantity: of(value) }];
}
