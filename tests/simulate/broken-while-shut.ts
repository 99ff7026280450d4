import type { BrokenPart } from './broken-parts.ts';

/** Faults that show only while a ward's channel is shut, or once it's open again. */
export const brokenWhileShut: readonly BrokenPart[] = [
  {
    what: 'what waits for a shut channel keeps its lane busy',
    seed: 'shut 2',
    archiving: true,
    broken: {
      record: (right) => ({ ...right, postLeft: (wardId, key) => right.postAgain(wardId, key, 0) }),
    },
    says: /was taken up \d+ times/,
  },
  {
    what: 'a visit waits behind an older message that stands in a shut channel',
    seed: 'shut 2',
    archiving: true,
    broken: {
      record: (right) => ({
        ...right,
        takePost: (wardId, now, part, how) =>
          right.takePost(wardId, now, part, how?.wardAfter === undefined ? how : { wardAfter: '~' }),
      }),
    },
    says: /waits for a channel that is shut/,
  },
  {
    what: 'nobody is told that the channel is shut',
    seed: 'shut 2',
    archiving: true,
    broken: {
      record: (right) => ({
        ...right,
        commit: (wardId, change) =>
          right.commit(wardId, {
            ...change,
            posts: change.posts.filter(({ about }) => about?.what !== 'channel shut'),
          }),
      }),
    },
    says: /was told that the channel of .* is shut/,
  },
  {
    what: 'a channel that was shut once is never found open',
    seed: 'shut 2',
    archiving: true,
    broken: {
      messenger: (right) => ({
        ...right,
        lookAtChannel: async (wardId, known) => known ?? right.lookAtChannel(wardId, known),
      }),
    },
    says: /does not stand|was not brought up to date|says that a channel is shut|which was told/,
  },
  {
    what: 'a shut channel is taken for a message that is to be tried again',
    seed: 'shut 2',
    archiving: true,
    broken: {
      messenger: (right) => ({
        ...right,
        async send(wardId, post, composed) {
          const delivery = await right.send(wardId, post, composed);
          return delivery.is === 'shut' ? { is: 'refused', why: delivery.why, forGood: false } : delivery;
        },
        async update(wardId, post, sent, composed) {
          const delivery = await right.update(wardId, post, sent, composed);
          return delivery.is === 'shut' ? { is: 'refused', why: delivery.why, forGood: false } : delivery;
        },
      }),
    },
    says: /nobody knows that the channel|waits for a channel that is shut|was called \d+ times/,
  },
  {
    what: 'nobody is looked up who is told something in the channel’s place',
    seed: 'shut 8',
    archiving: true,
    broken: { messenger: (right) => ({ ...right, lookAtReader: async () => 'reads' }) },
    says: /counts as told to .*, who reads nothing/,
  },
];
