import type { Entry } from '../domain/record/entry.ts';
import type { WardEntry } from '../domain/ward/ward-entry.ts';

/** The whole record of one ward: every log in full. All else that is known of the ward follows from it. */
export interface WardCopy {
  /** The ward's id: workspace and channel. */
  wardId: string;
  wardEntries: WardEntry[];
  /** Every line ever placed, in the order they were recorded. */
  lines: LineCopy[];
}

/** One line of a copy: its log. */
export interface LineCopy {
  id: string;
  /** Whether it stands on the ward's list; a closed line does not. */
  listed: boolean;
  entries: Entry[];
}

/** What a ward or line may be called: it becomes part of keys in the store. */
export const storableId = /^[^{}\s]{1,200}$/;

/** Lines in the order of a copy: as they were recorded, then by id. */
export function inOrderRecorded(lines: readonly LineCopy[]): LineCopy[] {
  const told = ({ entries }: LineCopy) => entries[0]?.told ?? 0;
  return lines.toSorted((a, b) => told(a) - told(b) || (a.id < b.id ? -1 : 1));
}
