import { WebAPIPlatformError, type WebClient } from '@slack/web-api';
import { auditPeriod } from '../app/audit-posts.ts';
import type { Audited, AuditPicture, Audits } from '../app/audits.ts';
import type { Clock } from '../app/clock.ts';
import { type HandoverFile, handoverFileOf } from '../app/handover-posts.ts';
import type { Composed, Delivery, Messenger, Post } from '../app/ports.ts';
import type { SharePicture } from '../chat/files.ts';
import { type HandoverFiles, handoverFile } from '../chat/messages/handover-files.ts';
import { readerOf } from '../chat/messages/standing-items.ts';
import { type People, readsNothing } from '../chat/people.ts';
import { channelOf, teamOf } from '../chat/ward-id.ts';
import type { ShiftHandover } from '../domain/handover/shift-handover.ts';
import type { Names } from '../wording/names.ts';
import { channelStanding } from './channel-standing.ts';
import { composePost } from './compose-post.ts';
import { attempt, refusedByPerson, refusedByWard, refusedUpdate } from './delivery-answers.ts';
import { findPost } from './find-post.ts';
import { postMetadata } from './post-metadata.ts';
import type { Drawn } from './render/message.ts';
import { shareFile } from './share-file.ts';

/** How long an upload may take, ms: within the time for which its post is held, so that nobody else sends it meanwhile. */
const filePatienceMs = 15_000;

/** What a messenger needs besides its client. */
interface MessengerParts {
  names: Names;
  people: People;
  audits: Audits;
  sharePicture: SharePicture;
  /** Null: a handover brings no files with it. */
  handoverFiles: HandoverFiles | null;
  command: string;
  /** How far the platform's clock is behind ours, ms: what was sent may stand under an earlier time than ours. */
  platformBehindMs?: () => number;
  clock: Pick<Clock, 'now'>;
}

/** The chat platform as the jobs see it. Its client must not retry by itself: the outbox does, after looking. */
export function slackMessenger(client: WebClient, parts: MessengerParts): Messenger {
  const { names, people, audits, sharePicture, handoverFiles, clock, platformBehindMs = () => 0 } = parts;
  return {
    compose: (post, view, now) => composePost(parts, post, view, now),
    async send(wardId, post, composed) {
      const what = handoverFileOf(post);
      if (what && handoverFiles)
        return sendHandoverFile(client, wardId, post, what, composed, names, handoverFiles);
      return sendWords(client, wardId, post, composed);
    },
    update: (wardId, post, { place, id }, composed) =>
      attempt(refusedUpdate(post.to), async () => {
        await client.chat.update({ channel: place, ts: id, ...wordsOf(wardId, post, composed) });
        return { is: 'sent', place, id };
      }),
    async lookAtReader(wardId, user) {
      const standing = await people.standing(user, teamOf(wardId));
      if (standing === null) return 'unknown';
      return readsNothing(standing) ? 'reads nothing' : 'reads';
    },
    lookAtChannel: (wardId, known) => channelStanding(client, channelOf(wardId), known, clock.now()),
    async addPictures(wardId, post, { place, id }) {
      const period = auditPeriod(post);
      if (!period || (post.about?.page ?? 1) > 1) return;
      const audited = await audits.of(wardId, period, { keptWillDo: true });
      for (const picture of picturesFor(post, audited)) {
        const { title, fileName } = picture;
        await sharePicture(picture, { channel: place, threadId: id, title, fileName });
      }
    },
    find: (wardId, post, sinceMs, view) => findPost(client, wardId, post, sinceMs - platformBehindMs(), view),
    async takeAway(_wardId, place, id) {
      await client.chat.delete({ channel: place, ts: id }).catch((error: unknown) => {
        const why = error instanceof WebAPIPlatformError ? error.data.error : undefined;
        if (why !== 'message_not_found') throw error;
      });
    },
  };
}

function sendWords(client: WebClient, wardId: string, post: Post, composed: Composed): Promise<Delivery> {
  return attempt(post.to === 'ward' ? refusedByWard : refusedByPerson, async () => {
    const channel = post.to === 'ward' ? channelOf(wardId) : post.to.user;
    const { thread } = post.about ?? {};
    const sent = await client.chat.postMessage({
      channel,
      ...(thread === undefined ? {} : { thread_ts: thread }),
      ...wordsOf(wardId, post, composed),
      unfurl_links: false,
      unfurl_media: false,
    });
    return { is: 'sent', place: sent.channel ?? channel, id: sent.ts ?? '' };
  });
}

function wordsOf(wardId: string, post: Post, { message }: Composed) {
  const { text, blocks } = message as Drawn;
  return { text, blocks, metadata: postMetadata(wardId, aboutLines(post)) };
}

/** A message that more may be added to is kept for every line of the ward; it is about those it was made for. */
function aboutLines(post: Post): Post {
  if (readerOf(post) === null) return post;
  return { ...post, lines: [...new Set(post.asked.map(({ lineId }) => lineId))] };
}

function sendHandoverFile(
  client: WebClient,
  wardId: string,
  { about }: Post,
  what: HandoverFile,
  { message }: Composed,
  names: Names,
  handoverFiles: HandoverFiles,
): Promise<Delivery> {
  return attempt(refusedByWard, async () => {
    const { title, ...file } = await handoverFile(what, message as ShiftHandover, names, handoverFiles);
    const channel = channelOf(wardId);
    await shareFile(client, file, {
      channel,
      title,
      patienceMs: filePatienceMs,
      ...(about?.thread === undefined ? {} : { threadId: about.thread }),
    });
    return { is: 'sent', place: channel, id: '' };
  });
}

/** Pictures below the first message: the ward's for the ward, one's own curve for a person. */
function picturesFor({ to }: Post, { pictures, curvePictures }: Audited): readonly AuditPicture[] {
  if (to === 'ward') return pictures;
  const own = curvePictures[to.user];
  return own ? [own] : [];
}
