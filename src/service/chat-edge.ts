import type { AppDeps } from '../app/app-deps.ts';
import type { Audits } from '../app/audits.ts';
import type { ChannelIds } from '../app/channel-ids.ts';
import { makeRecordFile } from '../export/make-record-file.ts';
import { makePaper, stripPicture } from '../files/files.ts';
import type { libraryLog } from '../observe/library-log.ts';
import { noTraces } from '../observe/traces.ts';
import { type BoltEdge, boltEdge } from '../slack/edge/bolt-app.ts';
import { slackPosts } from '../slack/posts.ts';
import { slackScreens } from '../slack/screens.ts';
import { slackPictures } from '../slack/share-file.ts';
import { slackUploads } from '../slack/strips.ts';
import type { Records } from './open-records.ts';
import type { ServiceParts } from './service-parts.ts';
import { tracedFetch } from './traced-fetch.ts';
import type { Workplaces } from './workplaces.ts';

/** What the chat works with besides what its use cases need. */
export interface ChatParts {
  deps: AppDeps;
  records: Records;
  places: Workplaces;
  audits: Audits;
  logger: ReturnType<typeof libraryLog>;
  lookAtChannel: (wardId: string) => Promise<void>;
  channelChanged: (wardId: string) => Promise<void>;
  channelIds: ChannelIds;
  /** What every answer must say besides, such as that reminders are not running; null where all is well. */
  warning: () => Promise<string | null>;
}

/** What takes commands, presses and forms; to be started. */
export async function chatEdge(
  { slack, command, log, metrics, traces = noTraces }: ServiceParts,
  { deps, records, places, logger, channelIds, ...chat }: ChatParts,
): Promise<BoltEdge> {
  const bots = await places.atTheEdge(
    ({ at, client, token, wards, ...me }) => ({
      ...chat,
      ...me,
      command,
      makeRecordFile,
      makePaper,
      deps: { ...deps, record: records.forChat(wards) },
      client,
      screens: slackScreens(client, command),
      posts: slackPosts(client, command),
      names: at.names,
      people: at.people,
      membership: at.membership,
      homes: at.homes,
      strips: { fetch: slackUploads(client, token, slack.apiUrl), draw: stripPicture },
      sharePicture: slackPictures(client),
    }),
    log,
  );
  return boltEdge(bots, {
    reach: slack.reach,
    serves: places.edgeServes,
    slackApiUrl: slack.apiUrl,
    channelIds,
    around: (what, work) => records.pace.ahead(() => traces.span(what, {}, work)),
    fetch: tracedFetch(traces),
    acked: (seconds) => metrics.ackSeconds.observe(seconds),
    trouble: (...told) => deps.watch.trouble(...told),
    logger,
  });
}
