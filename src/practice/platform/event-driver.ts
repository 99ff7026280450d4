import type { PlatformCore } from './core.ts';
import type { Delivery } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import { escapeTyped } from './escape.ts';
import { fileOutput, storeFile } from './file-methods.ts';
import type { Json, StoredMessage } from './message.ts';
import { person, placeOf } from './message-driver.ts';
import { actionTs, eventPayload, messageShortcutPayload, shortcutPayload } from './payloads.ts';
import { post } from './posting.ts';

/** What people do besides commands, presses and forms. */
export interface EventDriver {
  /** Says something in a channel; apps that did not subscribe to messages hear nothing of it. */
  say(given: { user: string; channel?: string; text: string }): Promise<StoredMessage>;
  /**
   * Uploads files as one message, in the ward channel unless given, and tells the app of each (`file_shared`).
   * @throws on no file, more than ten, an empty one, or a reply to nothing.
   */
  shareFiles(given: {
    user: string;
    channel?: string;
    /** What is written above the files. */
    text?: string;
    /** The message to reply to. */
    threadTs?: string;
    files: readonly { name: string; bytes: Uint8Array }[];
  }): Promise<{ message: StoredMessage; fileIds: string[]; deliveries: Delivery[] }>;
  /** Uploads one file into a channel and tells the app (`file_shared`). */
  shareFile(given: {
    user: string;
    channel?: string;
    name: string;
    bytes: Uint8Array;
  }): Promise<Delivery & { fileId: string }>;
  /** Uploads a file without sharing it, as a form's file input does; gives its id. */
  upload(given: { user: string; name: string; bytes: Uint8Array }): Promise<string>;
  /** Opens the app's own page (`app_home_opened`). */
  openHome(given: { user: string }): Promise<Delivery>;
  /** Writes to the bot: by direct message (`message`), or by its name in a channel (`app_mention`). */
  writeToBot(given: { user: string; text: string; channel?: string }): Promise<Delivery>;
  /** Adds a person or the bot to a channel (`member_joined_channel`). */
  join(given: { user: string; channel: string }): Promise<Delivery>;
  /** Chooses a shortcut that stands everywhere. @throws on one that the world does not declare. */
  shortcut(given: { user: string; callbackId: string }): Promise<Delivery>;
  /** Chooses a shortcut from a message's menu. @throws on one that the world does not declare. */
  messageShortcut(given: {
    user: string;
    channel: string;
    messageTs: string;
    callbackId: string;
  }): Promise<Delivery>;
  /** Sends any other event. */
  event(inner: Json): Promise<Delivery>;
}

/** Files one message can carry. From memory; file_input has the same number. */
const mostFilesAMessage = 10;

/** Drives everything that reaches the app as an event or a shortcut. */
export function eventDriver(core: PlatformCore, desk: DeliveryDesk): EventDriver {
  const event = (inner: Json) =>
    desk.send('events_api', eventPayload(core, { ...inner, event_ts: actionTs(core) }));
  const upload: EventDriver['upload'] = async ({ user, name, bytes }) =>
    storeFile(core, {
      name,
      title: name,
      altText: '',
      owner: person(core, user).id,
      bytes: Buffer.from(bytes),
    }).id;
  const said = (userId: string, text: string, more: Partial<StoredMessage> = {}): StoredMessage => ({
    type: 'message',
    ts: core.workspace.nextTs(core.clock.now()),
    user: userId,
    team: core.world.team.id,
    text: escapeTyped(text),
    ...more,
  });

  const shareFiles: EventDriver['shareFiles'] = async ({ user: who, channel, text, threadTs, files }) => {
    const user = person(core, who);
    const conversation = placeOf(core, user, channel);
    if (files.length === 0 || files.length > mostFilesAMessage)
      throw new Error(
        `${files.length} files: a message carries 1 to ${mostFilesAMessage}. Send them in several messages.`,
      );
    const empty = files.find(({ bytes }) => bytes.length === 0);
    if (empty) throw new Error(`“${empty.name}” is empty. Choose a file with something in it.`);
    if (threadTs !== undefined && !core.workspace.message(conversation.id, threadTs))
      throw new Error(`There is no message ${threadTs} to reply to.`);
    const fileIds: string[] = [];
    for (const { name, bytes } of files) fileIds.push(await upload({ user: who, name, bytes }));
    for (const fileId of fileIds) core.workspace.record({ kind: 'shared', fileId, channel: conversation.id });
    const shared = fileIds.flatMap((id) => core.workspace.files.get(id) ?? []);
    const message = said(user.id, text ?? '', {
      files: shared.map((file) => fileOutput(core, file)),
      ...(threadTs === undefined ? {} : { thread_ts: threadTs }),
    });
    post(core, conversation, message);
    const deliveries: Delivery[] = [];
    for (const fileId of fileIds)
      deliveries.push(
        await event({
          type: 'file_shared',
          file_id: fileId,
          user_id: user.id,
          file: { id: fileId },
          channel_id: conversation.id,
        }),
      );
    return { message, fileIds, deliveries };
  };

  return {
    event,
    upload,
    shareFiles,
    async say({ user: who, channel, text }) {
      const user = person(core, who);
      const message = said(user.id, text);
      post(core, placeOf(core, user, channel), message);
      return message;
    },
    async shareFile({ name, bytes, ...where }) {
      const { fileIds, deliveries } = await shareFiles({ ...where, files: [{ name, bytes }] });
      const [fileId] = fileIds;
      const [delivery] = deliveries;
      if (fileId === undefined || !delivery) throw new Error(`“${name}” was not shared.`);
      return { ...delivery, fileId };
    },
    async openHome({ user: who }) {
      const user = person(core, who);
      const home = core.views.home(user.id);
      return event({
        type: 'app_home_opened',
        user: user.id,
        channel: core.workspace.directMessages(user.id).id,
        tab: 'home',
        ...(home ? { view: core.views.output(home) } : {}),
      });
    },
    async writeToBot({ user: who, text, channel }) {
      const user = person(core, who);
      const place =
        channel === undefined ? core.workspace.directMessages(user.id) : placeOf(core, user, channel);
      const named = channel === undefined ? '' : `<@${core.world.app.botUserId}> `;
      const message = said(user.id, text);
      message.text = named + message.text;
      post(core, place, message);
      const { ts } = message;
      return event({
        type: channel === undefined ? 'message' : 'app_mention',
        ...(channel === undefined ? { channel_type: 'im' } : {}),
        user: user.id,
        channel: place.id,
        text: message.text,
        ts,
      });
    },
    async join({ user, channel }) {
      const userId = user === core.world.app.botUserId ? user : person(core, user).id;
      const conversation = core.workspace.conversation(channel);
      if (!conversation) throw new Error(`There is no channel ${channel}.`);
      if (!conversation.memberIds.includes(userId))
        core.workspace.record({ kind: 'joined', userId, channel });
      return event({
        type: 'member_joined_channel',
        user: userId,
        channel,
        channel_type: 'C',
        team: core.world.team.id,
      });
    },
    async shortcut({ user: who, callbackId }) {
      const user = person(core, who);
      const { globalShortcuts } = core.world;
      if (!globalShortcuts.some((declared) => declared.callbackId === callbackId))
        throw new Error(
          `The app declares no shortcut '${callbackId}'; it declares ${globalShortcuts.map((one) => one.callbackId).join(', ') || 'none'}.`,
        );
      const triggerId = core.triggers.issue({ userId: user.id });
      return desk.send('interactive', shortcutPayload(core, user, callbackId, triggerId));
    },
    async messageShortcut({ user: who, channel, messageTs, callbackId }) {
      const user = person(core, who);
      const conversation = placeOf(core, user, channel);
      const { shortcuts } = core.world;
      if (!shortcuts.some((declared) => declared.callbackId === callbackId))
        throw new Error(
          `The app declares no message shortcut '${callbackId}'; it declares ${shortcuts.map((one) => one.callbackId).join(', ') || 'none'}.`,
        );
      const message = core.workspace.message(channel, messageTs);
      if (!message) throw new Error(`There is no message ${messageTs} in ${channel}.`);
      const payload = messageShortcutPayload(core, user, conversation, {
        callbackId,
        message,
        triggerId: core.triggers.issue({ userId: user.id }),
        responseUrl: core.responseUrls.issue({ channel, userId: user.id, messageTs }),
      });
      return desk.sendFor('interactive', payload, channel, user.id);
    },
  };
}
