import type { JobDeps } from '../app/app-deps.ts';
import { deliverBehind } from '../app/deliver-posts.ts';
import { fewAtOnce } from '../app/few-at-once.ts';

/** Wards whose handovers are sent at once: most of the time each waits for the platform. */
const handoversAtOnce = 50;
/** Wards whose files are made at once: each takes most of a second of a processor. */
const filesAtOnce = 1;

/** Sends handovers and their files behind all else; `begun` hears of each piece, so that an end can wait for it. */
export function behindReminders(
  deps: () => JobDeps,
  begun: (piece: Promise<void>) => void,
): NonNullable<JobDeps['behind']> {
  const sent = (part: 'handovers' | 'files', most: number) =>
    fewAtOnce(
      most,
      async (wardId) => {
        try {
          return await deliverBehind(deps(), wardId, part);
        } catch (cause) {
          deps().watch.trouble('a handover couldn’t be sent; the sweep tries again', { wardId }, cause);
          return { goesOn: false };
        }
      },
      begun,
    );
  return { handovers: sent('handovers', handoversAtOnce), files: sent('files', filesAtOnce) };
}
