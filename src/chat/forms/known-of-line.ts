import type { Caution } from '../../domain/placing/screening.ts';
import type { PlaceValues } from '../typed/place-values.ts';

/** What is known of a line that is being registered, for its form to be filled in with. Nothing of it is checked yet. */
export interface KnownOfLine {
  values: Omit<PlaceValues, 'why' | 'nurse'>;
  /** Whom the line is with, where it is not whoever fills the form in. */
  nurse?: string;
  /** When it was placed, ms; absent: now. */
  at?: number;
  /** A line of the animal it is of, where that was chosen: it is asked about only where the form gets another name or species. */
  of?: string;
  /** Cautions found; empty when looked at and none found, absent when nobody looked. */
  screening?: Caution[];
}
