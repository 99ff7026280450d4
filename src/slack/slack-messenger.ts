import { createHash } from 'node:crypto';
import {
  type ConversationsHistoryResponse,
  type ConversationsRepliesResponse,
  type MessageMetadata,
  WebAPIPlatformError,
  type WebClient,
} from '@slack/web-api';
import { auditPeriod, isAuditPost } from '../app/audit-posts.ts';
import { type Audited, AuditFailed, type AuditPicture, type Audits } from '../app/audits.ts';
import type { Clock } from '../app/clock.ts';
import { handoverFileOf } from '../app/handover-posts.ts';
import type { Composed, Messenger, Post, WardView } from '../app/ports.ts';
import { asTyped } from '../chat/as-typed.ts';
import { type SharePicture } from '../chat/files.ts';
import { notCounted, personalReports, wardReport } from '../chat/messages/audit-report.ts';
import { composeMessage } from '../chat/messages/compose.ts';
import { type HandoverFiles, handoverFile, handoverFileName } from '../chat/messages/handover-files.ts';
import { readerOf } from '../chat/messages/standing-items.ts';
import type { Names } from '../chat/names.ts';
import type { Message } from '../chat/parts.ts';
import { type People, readsNothing } from '../chat/people.ts';
import { channelOf, teamOf } from '../chat/ward-id.ts';
import type { ShiftHandover } from '../domain/handover/shift-handover.ts';
import { channelStanding } from './channel-standing.ts';
import { attempt, refusedByPerson, refusedByWard, refusedUpdate } from './delivery-answers.ts';
import { directChannel } from './direct-channel.ts';
import { type Drawn, drawnMessage } from './render/message.ts';
import { shareFile } from './share-file.ts';

/** The event type every message of the bot carries. */
export const postEventType = 'dicrotic_post';

/** Metadata has a size limit; a handover of more lines names the first ones. */
const mostLinesNamed = 100;

/** What every message of the bot carries: ids only, since everybody in the workspace can read it. */
export function postMetadata(
  wardId: string,
  { key, kind, lines }: Pick<Post, 'key' | 'kind' | 'lines'>,
): MessageMetadata {
  // The platform takes lists of strings; the SDK's type knows only lists of objects.
  return {
    event_type: postEventType,
    event_payload: { key, kind, ward: wardId, lines: lines.slice(0, mostLinesNamed) },
  } as unknown as MessageMetadata;
}

/** A message that more may be added to is kept for every line of the ward; it is about those it was made for. */
function aboutLines(post: Post): Post {
  if (readerOf(post) === null) return post;
  return { ...post, lines: [...new Set(post.asked.map(({ lineId }) => lineId))] };
}

/** The chat platform as the jobs see it. Its client must not retry by itself: the outbox does, after looking. */
export function slackMessenger(
  client: WebClient,
  {
    names,
    audits,
    sharePicture,
    handoverFiles,
    command,
    platformBehindMs = () => 0,
    clock,
    people,
  }: {
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
  },
): Messenger {
  const body = (composed: Composed) => composed.message as Drawn;
  return {
    async compose(post, view, now) {
      // A file is made as it is sent; where none are, there is none to send.
      if (handoverFileOf(post))
        return {
          message: view.handedOver,
          hash: post.key,
          settled: true,
          superseded: handoverFiles === null,
        };
      const counted = isAuditPost(post) ? await auditMessage(post, view, { names, audits, now }) : undefined;
      if (counted === null) return { message: null, hash: '', settled: false, notYet: true };
      const said = counted ?? (await composeMessage(post, view, names, now));
      const message = asTyped(drawnMessage(said), command);
      const hash = createHash('sha256')
        .update(JSON.stringify([message.text, message.blocks]))
        .digest('base64url')
        .slice(0, 12);
      const { settled, superseded = false, pages } = said;
      return { message, hash, settled, superseded, ...(pages ? { pages } : {}) };
    },
    async send(wardId, post, composed) {
      const what = handoverFileOf(post);
      if (what && handoverFiles) {
        return attempt(refusedByWard, async () => {
          const handover = composed.message as ShiftHandover;
          const { title, ...file } = await handoverFile(what, handover, names, handoverFiles);
          const { thread } = post.about ?? {};
          const channel = channelOf(wardId);
          await shareFile(client, file, {
            channel,
            title,
            patienceMs: filePatienceMs,
            ...(thread === undefined ? {} : { threadId: thread }),
          });
          return { is: 'sent', place: channel, id: '' };
        });
      }
      if (post.to !== 'ward' && post.kind === 'escalation') {
        // The platform may take a message to an account that nobody uses any more.
        const standing = await people.standing(post.to.user, teamOf(wardId));
        if (readsNothing(standing))
          return { is: 'refused', why: `account ${standing}`, forGood: true, nobodyReads: true };
      }
      const { text, blocks } = body(composed);
      return attempt(post.to === 'ward' ? refusedByWard : refusedByPerson, async () => {
        const channel = post.to === 'ward' ? channelOf(wardId) : post.to.user;
        const { thread } = post.about ?? {};
        const sent = await client.chat.postMessage({
          channel,
          ...(thread === undefined ? {} : { thread_ts: thread }),
          text,
          blocks,
          metadata: postMetadata(wardId, aboutLines(post)),
          unfurl_links: false,
          unfurl_media: false,
        });
        return { is: 'sent', place: sent.channel ?? channel, id: sent.ts ?? '' };
      });
    },
    async update(wardId, post, { place, id }, composed) {
      const { text, blocks } = body(composed);
      return attempt(refusedUpdate(post.to), async () => {
        await client.chat.update({
          channel: place,
          ts: id,
          text,
          blocks,
          metadata: postMetadata(wardId, aboutLines(post)),
        });
        return { is: 'sent', place, id };
      });
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
    async find(wardId, post, sinceMs, view) {
      const what = handoverFileOf(post);
      const fileName = what && view?.handedOver ? handoverFileName(what, view.handedOver) : null;
      const channel = post.to === 'ward' ? channelOf(wardId) : await directChannel(client, post.to.user);
      const { thread } = post.about ?? {};
      const standing: string[] = [];
      let cursor: string | undefined;
      do {
        const asked = {
          channel,
          oldest: ((sinceMs - platformBehindMs()) / 1000).toFixed(6),
          include_all_metadata: true,
          limit: 200,
          ...(cursor ? { cursor } : {}),
        };
        // A channel's history has no replies.
        const page: ConversationsHistoryResponse | ConversationsRepliesResponse =
          thread === undefined
            ? await client.conversations.history(asked)
            : await client.conversations.replies({ ...asked, ts: thread });
        for (const message of page.messages ?? []) {
          // A file carries no metadata: it is known by its name, in the thread of its handover.
          if (fileName !== null && message.ts && message.files?.some(({ name }) => name === fileName))
            return { place: channel, id: message.ts };
          const payload = message.metadata?.event_payload as { key?: unknown } | undefined;
          if (message.metadata?.event_type === postEventType && payload?.key === post.key && message.ts) {
            standing.push(message.ts);
          }
        }
        cursor = page.response_metadata?.next_cursor || undefined;
      } while (cursor);
      // A channel's history comes newest first, a thread's oldest first.
      const [id, ...others] = standing.toSorted().toReversed();
      return id === undefined ? null : { place: channel, id, ...(others.length > 0 ? { others } : {}) };
    },
    async takeAway(_wardId, place, id) {
      await client.chat.delete({ channel: place, ts: id }).catch((error: unknown) => {
        const why = error instanceof WebAPIPlatformError ? error.data.error : undefined;
        if (why !== 'message_not_found') throw error;
      });
    },
  };
}

/** How long an upload may take, ms: within the time for which its post is held, so that nobody else sends it meanwhile. */
const filePatienceMs = 15_000;

/** How long a message waits for a count that is not kept, ms: reminders that come after it do not wait longer. */
const countPatienceMs = 1_000;
/** How long a message whose count fails is put off before it says so instead, ms: a month's report is made but once. */
const failurePatienceMs = 30 * 60_000;

/**
 * The words of a post about an audit, which is counted again where it is not kept; null while it is being counted, and where
 * the count failed and may yet succeed.
 */
async function auditMessage(
  post: Post,
  { ward }: WardView,
  { names, audits, now }: { names: Names; audits: Audits; now: number },
): Promise<Message | null> {
  const { zone } = ward.policy.shifts;
  const period = auditPeriod(post) ?? { fromMs: post.at, toMs: post.at + 1 };
  try {
    const counting = audits.of(ward.id, period, { keptWillDo: true });
    const late = new Promise<null>((resolve) => setTimeout(() => resolve(null), countPatienceMs).unref());
    const counted = await Promise.race([counting, late]);
    if (!counted) {
      // It goes on and is kept; of a failure the next who asks hears.
      counting.catch(() => undefined);
      return null;
    }
    const { audit, curvePictures } = counted;
    const report = { wardId: ward.id, audit, zone };
    const { page = 1, pages = 1 } = post.about ?? {};
    if (post.to === 'ward') return wardReport(report, { page, pages });
    const { user } = post.to;
    // Who leads is asked of the ward as it is now: a former lead is sent their own tries alone.
    const all = await personalReports(report, { user, lead: ward.policy.lead }, names, {
      wanted: 'their own',
      drawn: Object.keys(curvePictures),
    });
    return all[page - 1] ?? { lead: '', parts: [], settled: true, superseded: true };
  } catch (error) {
    if (!(error instanceof AuditFailed)) throw error;
    if (now - post.at < failurePatienceMs) return null;
    return notCounted(ward.id, period, zone);
  }
}

/** Pictures below the first message: the ward's for the ward, one's own curve for a person. */
function picturesFor({ to }: Post, { pictures, curvePictures }: Audited): readonly AuditPicture[] {
  if (to === 'ward') return pictures;
  const own = curvePictures[to.user];
  return own ? [own] : [];
}
