import type { Clock, HurriedClock } from '../app/clock.ts';
import { exampleStrips } from './example-strips.ts';
import { mostSharedMegabytes } from './page-acts.ts';
import type { Json, StoredMessage } from './platform/message.ts';
import type { Platform } from './platform/platform.ts';
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

function shownMessage(message: StoredMessage): Json {
  const { metadata: _ids, team: _team, type: _type, ...rest } = message;
  return rest;
}

/** Everything the practice page draws, with the newest `limit` messages of each conversation. */
export function pageSnapshot(platform: Platform, time: PageClock, limit = usualMessages): Json {
  const { core, world } = platform;
  const conversations = [world.wardChannelId, ...world.users.map((user) => `D${user.id.slice(1)}`)].flatMap(
    (id) => core.workspace.conversation(id) ?? [],
  );
  const views = world.users.flatMap((user) => {
    const view = core.views.top(user.id);
    if (!view) return [];
    const stack = core.views.stack(user.id).length;
    return [[user.id, { ...core.views.output(view), errors: view.errors, depth: stack }]];
  });
  const homes = world.users.flatMap((user) => {
    const home = core.views.home(user.id);
    return home ? [[user.id, core.views.output(home)]] : [];
  });
  const lines = world.users.flatMap((user) => {
    const last = core.notified.findLast((notified) => notified.userIds.includes(user.id));
    return last ? [[user.id, { line: last.line, ts: last.ts, channel: last.channel, why: last.why }]] : [];
  });
  const ward = world.channels.find((channel) => channel.id === world.wardChannelId);
  return {
    hospital: world.team.name,
    command: world.command,
    botName: world.app.botName,
    wardZone: world.wardZone,
    ward: { id: world.wardChannelId, name: ward?.name ?? '', purpose: ward?.purpose ?? '' },
    channels: world.channels.map(({ id, name }) => ({ id, name })),
    shortcuts: world.shortcuts,
    globalShortcuts: world.globalShortcuts,
    mostSharedMegabytes,
    exampleStrips: exampleStrips.map(({ name }) => name),
    people: world.users.map(({ id, handle, name, part }) => ({ id, handle, name, part })),
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
      conversations.map(({ id, messages }) => [id, messages.slice(-limit).map(shownMessage)]),
    ),
    hasEarlier: Object.fromEntries(conversations.map(({ id, messages }) => [id, messages.length > limit])),
    ephemerals: core.ephemerals.map((message) => ({
      ...shownMessage(message),
      channel: message.channel,
      reader: message.reader,
      fromPlatform: message.fromPlatform,
    })),
    views: Object.fromEntries(views) as Json,
    homes: Object.fromEntries(homes) as Json,
    lines: Object.fromEntries(lines) as Json,
  };
}
