import { WebClient } from '@slack/web-api';
import type { Audits } from '../app/audits.ts';
import type { ChannelIds } from '../app/channel-ids.ts';
import type { Clock } from '../app/clock.ts';
import type { HomeReaders } from '../app/home-readers.ts';
import type { LastWord } from '../app/last-word.ts';
import type { Messenger, WardRecord, Watch } from '../app/ports.ts';
import type { Homes } from '../chat/homes.ts';
import type { Membership } from '../chat/membership.ts';
import type { HandoverFiles } from '../chat/messages/handover-files.ts';
import type { People } from '../chat/people.ts';
import type { Traces } from '../observe/traces.ts';
import { withTodaysChannels } from '../slack/changed-channels.ts';
import { homes } from '../slack/homes.ts';
import { slackMembership } from '../slack/membership.ts';
import { slackPeople } from '../slack/people.ts';
import { platformClock } from '../slack/platform-clock.ts';
import { heldBack } from '../slack/rate-hold.ts';
import { slackPictures } from '../slack/share-file.ts';
import { slackLastWord } from '../slack/slack-last-word.ts';
import { slackMessenger } from '../slack/slack-messenger.ts';
import { slackNames } from '../slack/slack-names.ts';
import { webClientOptions } from '../slack/web-client-options.ts';
import type { Names } from '../wording/names.ts';
import { tracedFetch } from './traced-fetch.ts';

/** The chat platform as one workspace has it: everything here speaks with that workspace's token and no other. */
export interface Workplace {
  client: WebClient;
  names: Names;
  people: People;
  membership: Membership;
  messenger: Messenger;
  lastWord: LastWord;
  homes: Homes;
}

type Logger = NonNullable<NonNullable<ConstructorParameters<typeof WebClient>[1]>['logger']>;

/** What every workspace shares. */
export interface WorkplaceParts {
  apiUrl: string;
  /** Channels whose id changed. */
  channelIds: ChannelIds;
  audits: Audits;
  handoverFiles: HandoverFiles | null;
  command: string;
  clock: Clock;
  realNow: () => number;
  watch: Watch;
  warning: () => Promise<string | null>;
  logger: Logger;
  traces: Traces;
}

/** How a workspace is spoken to: by a token that never changes, or by whichever is good when a call is made. */
export type Spoken = { botToken: string } | { team: string; token: () => Promise<string> };

export function workplace(
  {
    apiUrl,
    channelIds,
    audits,
    handoverFiles,
    command,
    clock,
    realNow,
    watch,
    warning,
    logger,
    traces,
  }: WorkplaceParts,
  spoken: Spoken,
  record: WardRecord,
  readers: HomeReaders,
): Workplace {
  const theirs = platformClock(realNow, tracedFetch(traces));
  const team = 'team' in spoken ? spoken.team : undefined;
  const fetch = withTodaysChannels(theirs.fetch, channelIds, team);
  const client =
    'botToken' in spoken
      ? new WebClient(spoken.botToken, { ...webClientOptions(apiUrl), fetch, logger })
      : new WebClient(undefined, {
          ...webClientOptions(apiUrl),
          // An organisation's token serves many workspaces: each call says which.
          teamId: spoken.team,
          fetch: async (url, init) => {
            const headers = new Headers(init?.headers);
            headers.set('authorization', `Bearer ${await spoken.token()}`);
            return fetch(url, { ...init, headers });
          },
          logger,
        });
  const names = slackNames(client, realNow, () => record.wardIds());
  const people = slackPeople(client, realNow);
  const membership = slackMembership(client, realNow);
  return {
    client,
    names,
    people,
    membership,
    messenger: heldBack(
      slackMessenger(client, {
        platformBehindMs: () => theirs.behindMs(),
        names,
        audits,
        sharePicture: slackPictures(client),
        handoverFiles,
        command,
        clock,
        people,
      }),
      realNow,
    ),
    lastWord: slackLastWord(client),
    homes: homes({ client, record, readers, clock, realNow, names, membership, command, watch, warning }),
  };
}
