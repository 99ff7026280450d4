/** Where a patient is taken from the ward. */
export const awayPlaces = ['theatre', 'imaging', 'elsewhere'] as const;
/** Where a patient off the ward is. */
export type AwayPlace = (typeof awayPlaces)[number];

/** A time in which the patient was off the ward, ms; `until` null: it still is. */
export interface AwaySpell {
  from: number;
  until: number | null;
}

/** A time in which a line had no transducer and was capped, ms; `until` null: it still is. */
export interface CappedSpell {
  from: number;
  until: number | null;
}
