import type { Duty } from '../duties/duty.ts';
import type { EntryDraft } from '../record/entry.ts';
import type { CoverStep } from '../ward/cover.ts';
import type { WardDraft } from '../ward/ward-entry.ts';
import type { Reader } from './steps.ts';

/** A message the plan asks for: to whom, and of which duties. */
export type PlannedPost =
  /** A visit begins, of one nurse's lines; `nurse` null where something speaks for itself and belongs to no visit. */
  | { to: 'ward'; what: 'nudge'; nurse: string | null; duties: Duty[] }
  | { to: Reader; what: 'escalation'; user: string; duties: Duty[] }
  | { to: 'clinician'; what: 'questions'; user: string; duties: Duty[] }
  | { to: 'ward'; what: 'nobody on call'; duties: Duty[] }
  | { to: 'ward'; what: 'nobody answered'; user: string; duties: Duty[] }
  | { to: 'ward'; what: 'handover'; for: number }
  | { to: 'ward'; what: 'cover'; step: CoverStep }
  | { to: 'ward'; what: 'handover not accepted'; for: number }
  /** The channel can’t be posted in: to one person, by direct message. */
  | { to: 'person'; what: 'channel shut'; user: string };

/** All that a ward owes its readers at one instant, and what is written down about it. */
export interface WakePlan {
  drafts: { lineId: string; draft: EntryDraft }[];
  wardDrafts: WardDraft[];
  posts: PlannedPost[];
  /** Something was added to a message that stands, which must be brought up to date. */
  adds: boolean;
}
