import { WebAPIPlatformError } from '@slack/web-api';
import type { Standing } from '../../src/chat/people.ts';
import type { Chance } from '../../src/invented/chance.ts';

/** Why no message of the bot is read by somebody. */
type Why = 'deactivated, refused' | 'deactivated, taken' | 'guest';

/** What the platform answers to a message to them; a message to an account that nobody uses any more may be taken all the same. */
const answers: Record<Why, string | null> = {
  'deactivated, refused': 'user_disabled',
  'deactivated, taken': null,
  guest: 'channel_not_found',
};

const whys = ['deactivated, refused', 'deactivated, taken', 'guest'] as const satisfies Why[];
const minuteMs = 60_000;
const staff = ['vera', 'viktor', 'nina', 'nell', 'lena', 'bruno'] as const;

/** People of a run whom no direct message reaches from some instant on: they left, or are guests whom the bot may not write to. */
export class Unread {
  private readonly since = new Map<string, { why: Why; from: number }>();

  /** In half the runs everybody is reached. */
  constructor(chance: Chance, beginsAt: number) {
    if (chance.happens(0.5)) return;
    for (const user of staff) {
      if (!chance.happens(0.3)) continue;
      const why = chance.pick(whys);
      const from = chance.happens(0.5) ? beginsAt : beginsAt + chance.between(0, 30 * 60) * minuteMs;
      this.since.set(user, { why, from });
    }
  }

  get count(): number {
    return this.since.size;
  }

  /** Whether a message that came then is read by nobody. */
  isUnread(user: string, atMs: number): boolean {
    return (this.since.get(user)?.from ?? Number.POSITIVE_INFINITY) <= atMs;
  }

  /** What `users.info` says of them. */
  standing(user: string, atMs: number): Standing {
    const one = this.isUnread(user, atMs) ? this.since.get(user) : undefined;
    if (!one) return 'well';
    return one.why === 'guest' ? 'guest' : 'deactivated';
  }

  /** Throws what the platform answers where it takes no message to them. */
  refuse(user: string, atMs: number): void {
    const one = this.isUnread(user, atMs) ? this.since.get(user) : undefined;
    const error = one ? answers[one.why] : null;
    if (error !== null) throw new WebAPIPlatformError({ ok: false, error });
  }
}
