/** One of several that can be chosen. */
export interface Choice {
  value: string;
  label: string;
  /** What it means, in small letters below it. */
  description?: string | undefined;
}

/** How a question is answered. */
export type Asks =
  | { as: 'number'; min?: number; max?: number; whole?: boolean; initial?: number | undefined }
  | {
      as: 'text';
      maxLength: number;
      initial?: string | undefined;
      placeholder?: string;
      multiline?: boolean;
      /** The cursor stands in it when the form opens: one tap less. */
      focused?: boolean;
    }
  | {
      as: 'choice';
      choices: readonly Choice[];
      initial?: string | undefined;
      /** Up to how many short ones all stand in sight; by default four. */
      mostInSight?: number;
    }
  | { as: 'several'; choices: readonly Choice[]; initial?: readonly string[] | undefined }
  | { as: 'person'; initial?: string | undefined }
  | { as: 'people'; initial: readonly string[]; most: number }
  | { as: 'instant'; initialMs?: number | undefined };

/** One question of a form, under its label; what is answered comes back under its `id`. All its text is plain. */
export interface Question {
  kind: 'question';
  id: string;
  label: string;
  hint?: string | undefined;
  optional?: boolean;
  asks: Asks;
}
