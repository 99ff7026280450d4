import type { Sent } from '../form.ts';

/** A form nobody of this version can have opened; the caller says so to the person. */
export const staleForm = { is: 'stale' } as const;
export type StaleForm = typeof staleForm;

/** What was typed, untrimmed. */
export function textTyped({ answers }: Sent, id: string): string | undefined {
  const text = answers[id]?.text;
  return text === undefined || text.trim() === '' ? undefined : text;
}

/** The value of the option chosen. */
export function optionChosen({ answers }: Sent, id: string): string | undefined {
  return answers[id]?.chosen;
}

/** The values of the options ticked; empty when none is. */
export function optionsTicked({ answers }: Sent, id: string): string[] {
  return [...(answers[id]?.ticked ?? [])];
}

/** The person chosen. */
export function userChosen({ answers }: Sent, id: string): string | undefined {
  return answers[id]?.person;
}

/** The people chosen; empty when none is. */
export function usersChosen({ answers }: Sent, id: string): string[] {
  return [...(answers[id]?.people ?? [])];
}

/** The instant picked, ms since the epoch. */
export function instantPicked({ answers }: Sent, id: string): number | undefined {
  return answers[id]?.atMs;
}
