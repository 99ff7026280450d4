import type { JobDeps, PartBehind } from '../app/app-deps.ts';
import { deliverBehind } from '../app/deliver-posts.ts';
import { fewAtOnce } from '../app/few-at-once.ts';
import type { WardRecord } from '../app/ports.ts';
import { wakeBehind } from '../app/wake-in-turn.ts';
import { noTraces, type SpanName, type Traces } from '../observe/traces.ts';

/** Wards whose calendars are looked at at once: each waits for Redis' disk most of its time. */
const calendarsAtOnce = 20;
/** Wards whose handovers are sent at once: most of the time each waits for the platform. */
const handoversAtOnce = 50;
/** Wards whose files are made at once: each takes most of a second of a processor. */
const filesAtOnce = 1;

/**
 * Wakes wards for what their calendars owe, and sends handovers and their files, behind all else, with a `record` that is behind too;
 * `begun` hears of each piece, so that an end can wait for it; `over` of each ward once nothing that was asked of a part is left.
 */
export function behindReminders(
  jobs: () => JobDeps,
  {
    begun,
    over = () => undefined,
    record,
    traces = noTraces,
  }: {
    begun: (piece: Promise<void>) => void;
    over?: (part: PartBehind, wardId: string) => void;
    record?: WardRecord;
    traces?: Traces;
  },
): NonNullable<JobDeps['behind']> {
  let own: JobDeps | null = null;
  const deps = () => (own ??= { ...jobs(), ...(record ? { record } : {}) });
  const piece = (
    part: PartBehind,
    most: number,
    span: SpanName,
    work: (wardId: string) => Promise<{ goesOn: boolean }>,
    trouble: string,
  ) =>
    fewAtOnce(
      most,
      async (wardId) => {
        try {
          return await traces.span(span, { wardId }, () => work(wardId));
        } catch (cause) {
          deps().watch.trouble(trouble, { wardId }, cause);
          return { goesOn: false };
        }
      },
      begun,
      (wardId) => over(part, wardId),
    );
  const sent = (part: 'handovers' | 'files', most: number) =>
    piece(
      part,
      most,
      'delivery',
      (wardId) => deliverBehind(deps(), wardId, part),
      'a handover couldn’t be sent; the sweep tries again',
    );
  return {
    calendars: piece(
      'calendars',
      calendarsAtOnce,
      'wake-up',
      async (wardId) => {
        await wakeBehind(deps(), wardId);
        return { goesOn: false };
      },
      'a ward’s calendar couldn’t be looked at; the sweep tries again',
    ),
    handovers: sent('handovers', handoversAtOnce),
    files: sent('files', filesAtOnce),
  };
}
