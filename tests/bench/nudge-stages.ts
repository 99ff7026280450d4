import { channelOf } from '../../src/chat/ward-id.ts';
import type { JobCases } from '../../src/jobs/worker.ts';
import { ms } from './measured.ts';

/** Instants on the way of a ward's one nudge, ms of real time. */
interface Stages {
  pickedUp?: number;
  lookedAt?: number;
  begun?: number;
  stood?: number;
}

/** Where a nudge waits: notes when a ward with one nudge due at a known instant (ms) comes by each stage. */
export function nudgeStages(dueOf: (wardId: string) => number | undefined): {
  around(cases: JobCases): JobCases;
  /** When it stood, by the platform's clock, ms. */
  stood(wardId: string, atMs: number): void;
  /** Lateness at each stage of the slowest `share` (0 to 1) of nudges in channels that begin so. */
  ofSlowest(share: number, channels: string): string;
} {
  const wards = new Map<string, Stages>();
  const note = (wardId: string, stage: keyof Stages, atMs = Date.now()) => {
    const due = dueOf(wardId);
    if (due === undefined || atMs < due) return;
    const noted = wards.get(wardId) ?? {};
    wards.set(wardId, { [stage]: atMs, ...noted });
  };
  return {
    around: (cases) => ({
      ...cases,
      async wakeWard(wardId) {
        note(wardId, 'pickedUp');
        await cases.wakeWard(wardId);
        note(wardId, 'lookedAt');
      },
      async deliverPosts(wardId) {
        if (wards.has(wardId)) note(wardId, 'begun');
        await cases.deliverPosts(wardId);
      },
    }),
    stood: (wardId, atMs) => note(wardId, 'stood', atMs),
    ofSlowest(share, channels) {
      const late = [...wards].flatMap(([wardId, { stood, ...before }]) => {
        const due = dueOf(wardId);
        if (due === undefined || stood === undefined || !channelOf(wardId).startsWith(channels)) return [];
        return [{ ...before, due, stood }];
      });
      const slowest = late
        .toSorted((a, b) => b.stood - b.due - (a.stood - a.due))
        .slice(0, Math.max(1, Math.ceil(late.length * share)));
      // One that a sweep found was never picked up by a job.
      const mean = (stage: keyof Stages) => {
        const known = slowest.flatMap((one) => (one[stage] === undefined ? [] : [one[stage] - one.due]));
        return known.length === 0 ? '–' : ms(known.reduce((sum, one) => sum + one, 0) / known.length);
      };
      return [mean('pickedUp'), mean('lookedAt'), mean('begun'), mean('stood')].join(', ');
    },
  };
}
