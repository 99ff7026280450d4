import type { Part } from './parts.ts';

/** Everybody's Home: drawn when it is opened, after what was pressed there, and as things change. */
export interface Homes {
  /** Somebody looks at it now. */
  open(user: string): Promise<void>;
  /** Answers on top of it: there is no message to answer beside. */
  say(user: string, text: string, parts?: readonly Part[]): Promise<void>;
  /** Brings up to date those opened lately; nothing is sent where nothing changed. */
  refresh(): Promise<void>;
}
