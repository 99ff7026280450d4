import type { JobDeps } from './app-deps.ts';
import type { Composed, Delivery, Post } from './ports.ts';

/**
 * How long after a call was made its reader's account is looked up, if the platform wouldn't tell, ms of ward time. By then the
 * ladder has gone on to whoever comes next.
 */
const lookedUpForMs = 60 * 60_000;

/** A call that nobody reads, whether the platform takes it or not. */
export const readByNobody: Delivery = {
  is: 'refused',
  why: 'no_reader',
  forGood: true,
  nobodyReads: true,
};

/**
 * Whether anybody reads a call to one person: the platform may take a message to an account that nobody uses any more. Somebody
 * whom nothing reached lately isn't believed to be back without a word of it. Of any other message, or once it asks for nothing,
 * nobody needs to know.
 */
export async function lookAtReader(
  { messenger, clock }: Pick<JobDeps, 'messenger' | 'clock'>,
  wardId: string,
  post: Post,
  { settled, superseded, wasUnreached }: Composed,
): Promise<'reads' | 'reads nothing' | 'unknown'> {
  if (post.to === 'ward' || post.kind !== 'escalation' || !messenger.lookAtReader) return 'reads';
  if (settled || superseded || clock.now() > post.at + lookedUpForMs) return 'reads';
  const reader = await messenger.lookAtReader(wardId, post.to.user);
  return reader === 'unknown' && wasUnreached ? 'reads nothing' : reader;
}
