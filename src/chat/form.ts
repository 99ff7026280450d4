import type { Part } from './parts.ts';

/** A page over what was there: a form where it can be sent, else something to read and press. */
export interface Form {
  /** Which form it is: what was filled in comes back under it. */
  id: string;
  /** Plain text; long, a platform shows its beginning. */
  title: string;
  /** What sends it; absent where there is nothing to send. */
  submit?: string;
  /** What leaves it as it is. */
  close: string;
  /** What it carries to its own answer: ids only, never shown. */
  meta: string;
  parts: readonly Part[];
}

/** Sentences beside questions, by their ids; rich text, of which a platform shows the letters. */
export type FormErrors = Record<string, string>;

/** What a form that was sent is answered with. */
export type FormAnswer =
  | { is: 'close' }
  | { is: 'errors'; errors: FormErrors }
  | { is: 'replace'; form: Form }
  | { is: 'push'; form: Form };

/** A form as it came back, or a page as it stood when something was pressed in it. */
export interface Sent {
  id: string;
  meta: string;
  /** Questions in the order in which they stand. */
  asked: readonly string[];
  answers: Readonly<Record<string, Answered>>;
  /** Small print with an id, as plain text. */
  kept: Readonly<Record<string, string>>;
}

/** What was filled into one question. An empty one is not there, or has nothing in it. */
export interface Answered {
  /** Typed, untrimmed; a number is typed too. */
  text?: string;
  chosen?: string;
  ticked?: readonly string[];
  person?: string;
  people?: readonly string[];
  atMs?: number;
}
