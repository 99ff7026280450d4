import type { WardRecord } from '../app/ports.ts';
import { type Membership, mayRecord } from './membership.ts';

/**
 * The wards in which this person may record things, as `mayTell` has it; a "no" is from memory for up to a minute. Where the
 * platform does not say who is in a channel, that ward is left out: it is shown to nobody who might not be in it.
 */
export async function wardsOf(
  record: WardRecord,
  membership: Membership,
  user: string,
  now: number,
): Promise<string[]> {
  const wardIds = (await record.wardIds()).toSorted();
  const may = await Promise.all(
    wardIds.map(async (wardId) => {
      const ward = await record.readWardState(wardId);
      return mayRecord(membership, ward, user, now, 'kept').catch(() => false);
    }),
  );
  return wardIds.filter((_, index) => may[index]);
}
