/**
 * What is kept of one installation of the app: in a workspace, or in an organisation of many. Its text is sealed, and may be
 * read by whoever has the key alone.
 */
export interface KeptInstallation {
  sealed: string;
  /** Which installing it comes from: another, though in the same workspace, has another. */
  since: string;
  /** When the token in it runs out, real ms; null where it never does. */
  expiresAt: number | null;
}

/** Where installations are kept, by the id of the workspace or organisation. */
export interface InstallationShelf {
  ids(): Promise<string[]>;
  read(id: string): Promise<KeptInstallation | null>;
  /** Keeps a new installation in place of whichever there was. */
  put(id: string, kept: KeptInstallation): Promise<void>;
  /** Keeps a renewed token of the same installing, unless a longer one is kept already; says whether it was. */
  renew(id: string, kept: KeptInstallation): Promise<boolean>;
  /** Keeps the same under another seal, unless it was changed meanwhile; says whether it was. */
  sealAnew(id: string, before: string, after: string): Promise<boolean>;
  /** Erases what came of that installing; a later one stays. */
  erase(id: string, since: string): Promise<void>;
  /** Which organisation's installation serves a workspace, as it was last seen; null where none does. */
  orgOf(team: string): Promise<string | null>;
  noteOrg(team: string, org: string): Promise<void>;
  /** Whether `own` may renew this token now, and nobody else for `forMs`. */
  lock(id: string, own: string, forMs: number): Promise<boolean>;
  unlock(id: string, own: string): Promise<void>;
}
