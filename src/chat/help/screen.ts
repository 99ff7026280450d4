import type { InventedKind } from '../../app/rehearsal/invented-line.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { Values } from '../verbs/verb.ts';

/** What one verb's own screen teaches; rich text, written here and nowhere typed. `/artline` is put as the ward calls it. */
export interface Screen {
  verb: string;
  /** What it is called in the list and on top of its screen. */
  title: string;
  /** What it does, one sentence. */
  does: string;
  /** A whole command as it could be typed. */
  example: string;
  /** Why it matters to the animal; figures only with their source. */
  why: string;
  when: string;
  /** Where to tap. */
  thumb: string;
  /** What the bot does then that no duty shows. */
  after?: string;
  /** What goes wrong, a sentence each. */
  wrong: readonly string[];
  caution?: string;
  /** How the invented line stands for it, or why it cannot be practised. */
  practise: InventedKind | { no: string };
  /** What its usual entry is made of: its duties are worked out on the invented line. */
  usual?: Values | readonly EntryDraft[];
}
