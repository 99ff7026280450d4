import { z } from 'zod';

const option = z.object({ value: z.string() });
const stateValue = z.object({
  value: z.string().nullish(),
  selected_option: option.nullish(),
  selected_options: z.array(option).nullish(),
  selected_user: z.string().nullish(),
  selected_users: z.array(z.string()).nullish(),
  selected_date_time: z.number().nullish(),
});

const submittedSchema = z.object({
  callback_id: z.string(),
  private_metadata: z.string().default(''),
  state: z.object({ values: z.record(z.string(), z.record(z.string(), stateValue)) }),
});

/** A form as it came in: parsed once, at the door. In our forms block and action have one id, the field's. */
export interface Submitted {
  callbackId: string;
  meta: string;
  values: Readonly<Record<string, z.infer<typeof stateValue>>>;
}

/** Sentences beside inputs, by block id. */
export type FormErrors = Record<string, string>;

/** A form nobody of this version can have opened; the caller says so to the person. */
export const staleForm = { is: 'stale' } as const;
export type StaleForm = typeof staleForm;

/** Parses the `view` of a submission; null when it has not that shape. */
export function submittedView(view: unknown): Submitted | null {
  const parsed = submittedSchema.safeParse(view);
  if (!parsed.success) return null;
  const { callback_id, private_metadata, state } = parsed.data;
  const values = Object.fromEntries(
    Object.entries(state.values).flatMap(([blockId, actions]) => {
      const value = actions[blockId] ?? Object.values(actions)[0];
      return value === undefined ? [] : [[blockId, value]];
    }),
  );
  return { callbackId: callback_id, meta: private_metadata, values };
}

// The platform sends an input left empty as null, as [] or not at all: all three are undefined here.

/** What was typed, untrimmed. */
export function textTyped({ values }: Submitted, id: string): string | undefined {
  const value = values[id]?.value;
  return value === null || value === undefined || value.trim() === '' ? undefined : value;
}

/** The value of the option chosen. */
export function optionChosen({ values }: Submitted, id: string): string | undefined {
  return values[id]?.selected_option?.value;
}

/** The values of the options ticked; empty when none is. */
export function optionsTicked({ values }: Submitted, id: string): string[] {
  return (values[id]?.selected_options ?? []).map(({ value }) => value);
}

/** The person chosen. */
export function userChosen({ values }: Submitted, id: string): string | undefined {
  return values[id]?.selected_user ?? undefined;
}

/** The people chosen; empty when none is. */
export function usersChosen({ values }: Submitted, id: string): string[] {
  return values[id]?.selected_users ?? [];
}

/** The instant picked, ms since the epoch. */
export function instantPicked({ values }: Submitted, id: string): number | undefined {
  const seconds = values[id]?.selected_date_time;
  return typeof seconds === 'number' && Number.isInteger(seconds) && seconds >= 0
    ? seconds * 1000
    : undefined;
}
