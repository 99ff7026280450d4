/** What became of an account, as far as it matters to whoever is named. */
export type Standing = 'well' | 'deactivated' | 'bot' | 'unknown' | 'guest' | 'elsewhere';

/** People's accounts, as the platform knows them. */
export interface People {
  /** As seen from a workspace (`team`), remembered for a minute; null where the platform does not tell. */
  standing(user: string, team: string): Promise<Standing | null>;
  /** The time zone in somebody's profile (IANA name); null where the platform does not tell in time. */
  zone(user: string): Promise<string | null>;
}

/** Whether nobody ever reads what is sent to such an account. */
export function readsNothing(standing: Standing | null): boolean {
  return standing === 'deactivated' || standing === 'bot' || standing === 'unknown';
}
