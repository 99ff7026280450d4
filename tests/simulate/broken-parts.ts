import type { Broken } from './world.ts';

/** A fault of the program, put in on purpose, and what the simulation must say of it. */
export interface BrokenPart {
  what: string;
  /** A seed from which it shows within hours; should it not, the days after are tried. */
  seed: string;
  broken: Broken;
  says: RegExp;
}

/** Faults that can be put in without changing the program's text. */
export const brokenParts: readonly BrokenPart[] = [
  {
    what: 'a commit that lost a race is taken for written',
    seed: 'broken 3',
    broken: {
      store: (right) => ({
        ...right,
        async commit(wardId, change) {
          const committed = await right.commit(wardId, change);
          return committed.is === 'conflict' ? { is: 'written', armed: null } : committed;
        },
      }),
    },
    says: /told twice within|acknowledged and is not in its log/,
  },
  {
    what: 'nobody looks for a message whose send got no answer',
    seed: 'broken 5',
    broken: { messenger: (right) => ({ ...right, find: async () => null }) },
    says: /stands twice/,
  },
  {
    what: 'a send is not noted before it is tried',
    seed: 'broken 5',
    broken: { record: (right) => ({ ...right, postTrying: async () => undefined }) },
    says: /stands twice/,
  },
  {
    what: 'messages that stand are not brought up to date',
    seed: 'broken 1',
    broken: {
      messenger: (right) => ({
        ...right,
        update: async (_ward, _post, { place, id }) => ({ is: 'sent', place, id }),
      }),
    },
    says: /asks for .*, which was told/,
  },
  {
    what: 'a message that can still change is let go of',
    seed: 'broken 1',
    broken: {
      record: (right) => ({
        ...right,
        postDone: (wardId, key, sent) => right.postDone(wardId, key, sent, true),
      }),
    },
    says: /asks for .*, which was told/,
  },
  {
    what: 'a wake-up is never set and nobody sweeps',
    seed: 'broken 1',
    broken: {
      neverSweeps: true,
      alarm: (right) => ({ ...right, wakeAt: async () => undefined }),
    },
    says: /is owed on .* nobody has looked/,
  },
  {
    what: 'wake-ups that are lost are not swept up',
    seed: 'broken 1',
    broken: { neverSweeps: true },
    says: /nobody has looked|does not stand|not told so/,
  },
  {
    what: 'a message is not called for and not swept up',
    seed: 'broken 1',
    broken: {
      neverSweeps: true,
      alarm: (right) => ({ ...right, postsWaiting: async () => undefined }),
    },
    says: /does not stand/,
  },
  {
    what: 'a silence of the jobs is not told of',
    seed: 'broken 9',
    broken: { noticesNoSilence: true },
    says: /was not told so/,
  },
  {
    what: 'the message to the clinician is left out of the change that tells them',
    seed: 'broken 2',
    broken: {
      record: (right) => ({
        ...right,
        commit: (wardId, change) =>
          right.commit(wardId, {
            ...change,
            posts: change.posts.filter(({ key }) => !key.startsWith('0.clinician.')),
          }),
      }),
    },
    says: /has reached nobody who decides/,
  },
  {
    what: 'a notice is not kept for the lines that may be added to it',
    seed: 'broken 16',
    broken: {
      nobodyOnCall: true,
      record: (right) => ({
        ...right,
        commit: (wardId, change) =>
          right.commit(wardId, {
            ...change,
            posts: change.posts.map((post) =>
              post.kind === 'notice' && post.asked.length > 0
                ? { ...post, lines: [...new Set(post.asked.map(({ lineId }) => lineId))] }
                : post,
            ),
          }),
      }),
    },
    says: /has reached nobody who decides/,
  },
  {
    what: 'somebody whom no message reaches is taken for told',
    seed: 'broken 2',
    broken: {
      messenger: (right) => ({
        ...right,
        lookAtReader: async () => 'reads',
        async send(wardId, post, composed) {
          const delivery = await right.send(wardId, post, composed);
          return delivery.is === 'refused' ? { is: 'sent', place: 'D0', id: '0' } : delivery;
        },
      }),
    },
    says: /has reached nobody who decides/,
  },
  {
    what: 'the look for a lost send allows for no clock that is ahead',
    seed: 'broken 9',
    broken: {
      messenger: (right) => ({
        ...right,
        find: (wardId, post, _since, view) => right.find(wardId, post, post.at, view),
      }),
    },
    says: /stands twice|still stands \d+ times|asks for .*, which was told/,
  },
  {
    what: '“not so fast” is taken for a refusal',
    seed: 'broken 12',
    broken: {
      messenger: (right) => ({
        ...right,
        async send(wardId, post, composed) {
          const delivery = await right.send(wardId, post, composed);
          return delivery.is === 'wait' ? { is: 'refused', why: 'busy', forGood: true } : delivery;
        },
      }),
    },
    says: /does not stand/,
  },
  {
    what: 'a copy of a message that was sent again is left standing',
    seed: 'broken 9',
    broken: { messenger: (right) => ({ ...right, takeAway: async () => undefined }) },
    says: /still stands \d+ times|asks for .*, which was told/,
  },
];
