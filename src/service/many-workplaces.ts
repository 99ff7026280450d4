import { WebClient } from '@slack/web-api';
import type { HomeReaders } from '../app/home-readers.ts';
import type { LastWord } from '../app/last-word.ts';
import type { Messenger, WardRecord } from '../app/ports.ts';
import { teamOf } from '../chat/ward-id.ts';
import type { Installation } from '../slack/install/installation.ts';
import { NotInstalled } from '../slack/install/installation.ts';
import type { Installations } from '../slack/install/installations.ts';
import { webClientOptions } from '../slack/web-client-options.ts';
import { type Leaving, leaving } from './leaving.ts';
import { type Workplace, type WorkplaceParts, workplace } from './workplace.ts';

/** Many workspaces behind one bot: whatever is about a ward goes by the ward's own workspace. */
export interface ManyWorkplaces {
  /** Null where the app is not installed there. */
  of(team: string): Promise<{ at: Workplace; installation: Installation; record: WardRecord } | null>;
  messenger: Messenger;
  lastWord: LastWord;
  refreshHomes(): Promise<void>;
  /**
   * The app may have been taken out of a workspace or organisation. The platform is asked: an event may be of an installing before
   * the one that stands. Where it is so, the installation is erased, and nothing else.
   */
  takenOut(id: string): Promise<void>;
  /** Whether the platform answers; no token is needed. */
  client: WebClient;
}

interface Own {
  installations: Installations;
  record: WardRecord;
  readers: HomeReaders;
  goOn: (work: Promise<void>) => void;
  /** Hears of a workspace or organisation whose installation was erased. */
  left: (id: string) => Promise<void>;
}

export function manyWorkplaces(
  parts: WorkplaceParts,
  { installations, record, readers, goOn, left }: Own,
): ManyWorkplaces {
  const { realNow, apiUrl, logger } = parts;
  const built = new Map<string, { at: Workplace; record: WardRecord }>();
  const noToken = new WebClient(undefined, { ...webClientOptions(apiUrl), logger });

  const build = (team: string) => {
    const own = recordOf(record, team);
    const token = () => installations.token(team);
    return { at: workplace(parts, { team, token }, own, readersOf(readers, team)), record: own };
  };
  const of: ManyWorkplaces['of'] = async (team) => {
    const installation = await installations.of(team);
    if (!installation) return null;
    const here = built.get(team) ?? build(team);
    built.set(team, here);
    return { ...here, installation };
  };
  const at = async (wardId: string): Promise<Workplace> => {
    const found = await of(teamOf(wardId));
    if (!found) throw new NotInstalled(teamOf(wardId));
    return found.at;
  };
  const { takenOut, heard } = leaving(parts, {
    installations,
    ask: (token) => noToken.auth.test({ token }),
    goOn,
    async erased(id) {
      for (const team of built.keys()) if (!(await installations.of(team))) built.delete(team);
      await left(id);
    },
  });

  return {
    of,
    takenOut,
    client: noToken,
    messenger: byWard({ of, at, heard, built }),
    lastWord: {
      leave: async (wardId, ...given) => (await at(wardId)).lastWord.leave(wardId, ...given),
      takeBack: async (wardId) => (await at(wardId)).lastWord.takeBack(wardId),
    },
    async refreshHomes() {
      const open = await readers.lately(realNow());
      for (const team of new Set(open.map((reader) => reader.split(' ')[0] ?? '')))
        await (await of(team))?.at.homes.refresh();
    },
  };
}

/** Each ward's messages by its own workspace's messenger. */
function byWard({
  of,
  at,
  heard,
  built,
}: {
  of: ManyWorkplaces['of'];
  at: (wardId: string) => Promise<Workplace>;
  heard: Leaving['heard'];
  built: ReadonlyMap<string, { at: Workplace }>;
}): Messenger {
  return {
    serves: async (wardId) => (await of(teamOf(wardId))) !== null,
    compose: async (post, view, now) => (await at(view.ward.id)).messenger.compose(post, view, now),
    heldMs: (wardId, post, stands) =>
      built.get(teamOf(wardId))?.at.messenger.heldMs?.(wardId, post, stands) ?? 0,
    send: async (wardId, post, composed) =>
      heard(wardId, (await at(wardId)).messenger.send(wardId, post, composed)),
    update: async (wardId, post, sent, composed) =>
      heard(wardId, (await at(wardId)).messenger.update(wardId, post, sent, composed)),
    lookAtReader: async (wardId, user) =>
      (await at(wardId)).messenger.lookAtReader?.(wardId, user) ?? 'unknown',
    lookAtChannel: async (wardId, known) => {
      const found = await of(teamOf(wardId));
      return found ? found.at.messenger.lookAtChannel(wardId, known) : 'uninstalled';
    },
    takeAway: async (wardId, place, id) => (await at(wardId)).messenger.takeAway(wardId, place, id),
    addPictures: async (wardId, post, sent) => (await at(wardId)).messenger.addPictures?.(wardId, post, sent),
    find: async (wardId, post, sinceMs, view) =>
      (await at(wardId)).messenger.find(wardId, post, sinceMs, view),
  };
}

/** The record as one workspace sees it: its own wards are all there are. */
function recordOf(record: WardRecord, team: string): WardRecord {
  return {
    ...record,
    wardIds: async () => (await record.wardIds()).filter((wardId) => teamOf(wardId) === team),
  };
}

/** Readers of Homes by workspace: two workspaces may know a person by the same id. */
function readersOf(readers: HomeReaders, team: string): HomeReaders {
  const named = (user: string) => `${team} ${user}`;
  return {
    opened: (user, now) => readers.opened(named(user), now),
    lately: async (now) =>
      (await readers.lately(now)).flatMap((reader) =>
        reader.startsWith(`${team} `) ? [reader.slice(team.length + 1)] : [],
      ),
    shown: (user) => readers.shown(named(user)),
    keep: (user, shown) => readers.keep(named(user), shown),
  };
}
