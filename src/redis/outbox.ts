import { outboxParts, type Post, type PostRow, type WardRecord } from '../app/ports.ts';
import { wardKeys } from './keys.ts';
import { reach } from './reach.ts';
import { type RecordClient, readScript } from './script.ts';

/** How long a taken post is held for whoever took it, real ms; counted anew when the send is tried. */
const holdMs = 30_000;

const takePost = readScript('take-post');
const postTrying = readScript('post-trying');
const postDone = readScript('post-done');
const postAgain = readScript('post-again');
const postLeft = readScript('post-left');

type Outbox = Pick<
  WardRecord,
  'takePost' | 'postTrying' | 'postDone' | 'postAgain' | 'postLeft' | 'readPost'
>;
type Sent = NonNullable<PostRow['sent']>;

/** The stored form of a post: whom it goes to (empty for the ward) on the first line, then what it is about. */
export function encodePost(post: Post): string {
  return `${post.to === 'ward' ? '' : post.to.user.replaceAll('\n', ' ')}\n${JSON.stringify(post)}`;
}

/** What `post-done` is told besides the post's key: see there. */
function doneArguments(sent: Sent | null, settled: boolean, againAt: number | undefined): string[] {
  const flag = (is: boolean) => (is ? '1' : '0');
  return [
    sent ? encodeSent(sent) : '',
    flag(sent?.hash !== ''),
    flag(settled),
    againAt === undefined ? '' : String(againAt),
  ];
}

function decodePost(row: string): Post {
  return JSON.parse(row.slice(row.indexOf('\n') + 1)) as Post;
}

/** `tries` is "<how often put off> <since when it may have been sent, or nothing>". */
function postRow(row: string, sent: string, tries: string): PostRow {
  const [count = '', since = ''] = tries.split(' ');
  const [place = '', id = '', hash = ''] = sent === '' ? [] : (JSON.parse(sent) as string[]);
  return {
    post: decodePost(row),
    ...(sent === '' ? {} : { sent: { place, id, hash } }),
    ...(since === '' ? {} : { tryingSince: Number(since) }),
    tries: Number(count),
  };
}

/** What `take-post` answers: a post, or from when on there is one and in which parts. */
function takenFrom([is, first = '', second = '', third = '']: string[]): Awaited<
  ReturnType<Outbox['takePost']>
> {
  if (is === 'taken') return { row: postRow(first, second, third) };
  const ready = outboxParts.filter((one) => second.split(' ').includes(one));
  return { againAt: first === '' ? null : Number(first), ...(ready.length > 0 ? { ready } : {}) };
}

function encodeSent({ place, id, hash }: Sent): string {
  return JSON.stringify([place, id, hash]);
}

/** A ward's standing and waiting messages in Redis; `laneGapMs` is the real time between two of one lane. */
export function outbox(client: RecordClient, laneGapMs: number): Outbox {
  return {
    async takePost(wardId, realNow, part, { peopleOnly = false } = {}) {
      const { out, todo, held, sent, tries, lanes } = wardKeys(wardId);
      const answer = await reach('writes', () =>
        takePost(
          client,
          [out, todo, held, sent, tries, lanes],
          [
            String(realNow),
            String(realNow + holdMs),
            String(realNow + laneGapMs),
            part ?? '',
            peopleOnly ? '1' : '0',
          ],
        ),
      );
      return takenFrom(answer as string[]);
    },

    async postTrying(wardId, key, realNow) {
      const { out, todo, held, tries, lanes } = wardKeys(wardId);
      await reach('writes', () =>
        postTrying(
          client,
          [out, todo, held, tries, lanes],
          [key, String(realNow), String(realNow + holdMs), String(realNow + laneGapMs)],
        ),
      );
    },

    async postDone(wardId, key, sent, settled, againAt) {
      if (sent === null && !settled) throw new Error(`post ${key}: nowhere sent and not settled is not done`);
      const keys = wardKeys(wardId);
      // Its lines are needed only where it leaves the outbox.
      const row = settled ? await reach('reads', () => client.hget(keys.out, key)) : null;
      const lines = row === null ? [] : decodePost(row).lines;
      await reach('writes', () =>
        postDone(
          client,
          [keys.out, keys.todo, keys.held, keys.sent, keys.tries, keys.lanes, ...lines.map(keys.linePosts)],
          [key, ...doneArguments(sent, settled, againAt)],
        ),
      );
    },

    ...lettingGo(client),

    async readPost(wardId, key) {
      const { out, sent, tries } = wardKeys(wardId);
      const [row, stands, tried] = await reach('reads', () =>
        Promise.all([client.hget(out, key), client.hget(sent, key), client.hget(tries, key)]),
      );
      return row === null ? null : postRow(row, stands ?? '', tried ?? '');
    },
  };
}

/** How a post that was taken is let go of unsent. */
function lettingGo(client: RecordClient): Pick<Outbox, 'postAgain' | 'postLeft'> {
  return {
    async postAgain(wardId, key, againAt) {
      const { out, todo, held, tries } = wardKeys(wardId);
      await reach('writes', () => postAgain(client, [out, todo, held, tries], [key, String(againAt)]));
    },

    async postLeft(wardId, key) {
      const { out, todo, held, lanes } = wardKeys(wardId);
      await reach('writes', () => postLeft(client, [out, todo, held, lanes], [key]));
    },
  };
}
