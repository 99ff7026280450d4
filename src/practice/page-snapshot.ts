import type { Clock, HurriedClock } from '../app/clock.ts';
import { exampleStrips } from './example-strips.ts';
import { mostSharedMegabytes } from './page-acts.ts';
import type { PageMessage, PageState, PageView } from './page-messages.ts';
import type { StoredMessage } from './platform/message.ts';
import type { Platform } from './platform/platform.ts';
import type { OpenView } from './platform/views.ts';
import type { WorldUser } from './platform/world.ts';
import { scenes } from './scenes.ts';

/** The ward clock as the page may see and hurry it. */
export interface PageClock {
  clock: Clock;
  hurried?: HurriedClock;
  nextEventAt?: () => Promise<number | null>;
  emptyRecord?: () => Promise<void>;
}

/** Messages of each conversation the page asks for unless given. */
export const usualMessages = 60;

// Blocks, views and values were checked when the app gave them; from here on they have their types.

function drawnMessage({ ts, user, text, thread_ts, edited, blocks, files }: StoredMessage): PageMessage {
  return {
    ts,
    user,
    text,
    thread_ts,
    edited,
    blocks: blocks as PageMessage['blocks'],
    files: files as PageMessage['files'],
  };
}

function drawnView({ id, spec, values, errors }: OpenView, depth: number): PageView {
  const { blocks, title, close, submit } = spec as Partial<PageView>;
  return {
    id,
    blocks: blocks ?? [],
    ...(title && { title }),
    ...(close && { close }),
    ...(submit && { submit }),
    values: values as PageView['values'],
    errors,
    depth,
  };
}

/** Everything the practice page draws, with the newest `limit` messages of each conversation. */
export function pageSnapshot(platform: Platform, time: PageClock, limit = usualMessages): PageState {
  const { core, world } = platform;
  const conversations = [world.wardChannelId, ...world.users.map((user) => `D${user.id.slice(1)}`)].flatMap(
    (id) => core.workspace.conversation(id) ?? [],
  );
  /** What `look` finds of each person, by their ids; nobody of whom it finds nothing. */
  const ofEach = <Found>(look: (user: WorldUser) => Found | undefined): Record<string, Found> =>
    Object.fromEntries(
      world.users.flatMap((user) => {
        const found = look(user);
        return found === undefined ? [] : [[user.id, found]];
      }),
    );
  const ward = world.channels.find((channel) => channel.id === world.wardChannelId);
  return {
    hospital: world.team.name,
    command: world.command,
    botName: world.app.botName,
    wardZone: world.wardZone,
    ward: { id: world.wardChannelId, name: ward?.name ?? '' },
    channels: world.channels.map(({ id, name }) => ({ id, name })),
    shortcuts: world.shortcuts,
    globalShortcuts: world.globalShortcuts,
    mostSharedMegabytes,
    exampleStrips: exampleStrips.map(({ name }) => name),
    people: world.users.map(({ id, name, part }) => ({ id, name, part })),
    clock: {
      nowMs: time.clock.now(),
      rate: time.hurried?.rate() ?? 1,
      canHurry: time.hurried !== undefined,
      canJump: time.hurried !== undefined && time.nextEventAt !== undefined,
    },
    scenes: time.hurried ? scenes.map(({ id, title, says }) => ({ id, title, says })) : [],
    canReset: time.emptyRecord !== undefined,
    connected: platform.connections() > 0,
    messages: Object.fromEntries(
      conversations.map(({ id, messages }) => [id, messages.slice(-limit).map(drawnMessage)]),
    ),
    hasEarlier: Object.fromEntries(conversations.map(({ id, messages }) => [id, messages.length > limit])),
    ephemerals: core.ephemerals.map((message) => ({
      ...drawnMessage(message),
      channel: message.channel,
      reader: message.reader,
      fromPlatform: message.fromPlatform,
    })),
    views: ofEach(({ id }) => {
      const view = core.views.top(id);
      return view && drawnView(view, core.views.stack(id).length);
    }),
    homes: ofEach(({ id }) => {
      const home = core.views.home(id);
      return home && drawnView(home, 1);
    }),
    lines: ofEach(({ id }) => {
      const last = core.notified.findLast(({ userIds }) => userIds.includes(id));
      return last && { line: last.line, ts: last.ts, why: last.why };
    }),
  };
}
