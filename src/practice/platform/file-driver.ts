import type { PlatformCore } from './core.ts';
import type { Delivery } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import { fileOutput, storeFile } from './file-methods.ts';
import { person, placeOf, typedMessage } from './people.ts';
import { post } from './posting.ts';

interface GivenFile {
  name: string;
  bytes: Uint8Array;
}

interface SharedFiles {
  user: string;
  channel?: string;
  /** What is written above the files. */
  text?: string;
  /** The message to reply to. */
  threadTs?: string;
  files: readonly GivenFile[];
}

export type FileDriver = ReturnType<typeof fileDriver>;

/** Files one message can carry. From memory; file_input has the same number. */
const mostFilesAMessage = 10;

function checkFiles(files: readonly GivenFile[]): void {
  if (files.length === 0 || files.length > mostFilesAMessage)
    throw new Error(
      `${files.length} files: a message carries 1 to ${mostFilesAMessage}. Send them in several messages.`,
    );
  const empty = files.find(({ bytes }) => bytes.length === 0);
  if (empty) throw new Error(`“${empty.name}” is empty. Choose a file with something in it.`);
}

/** Files that people upload and share. */
export function fileDriver(core: PlatformCore, desk: DeliveryDesk) {
  const keep = (owner: string, { name, bytes }: GivenFile) =>
    storeFile(core, { name, title: name, altText: '', owner, bytes: Buffer.from(bytes) });

  const shareFiles = async ({ user: who, channel, text, threadTs, files }: SharedFiles) => {
    const user = person(core, who);
    const conversation = placeOf(core, user, channel);
    checkFiles(files);
    if (threadTs !== undefined && !core.workspace.message(conversation.id, threadTs))
      throw new Error(`There is no message ${threadTs} to reply to.`);
    const shared = files.map((file) => keep(user.id, file));
    for (const { id } of shared)
      core.workspace.record({ kind: 'shared', fileId: id, channel: conversation.id });
    const message = typedMessage(core, user.id, text ?? '', {
      files: shared.map((file) => fileOutput(core, file)),
      ...(threadTs === undefined ? {} : { thread_ts: threadTs }),
    });
    post(core, conversation, message);
    const deliveries: Delivery[] = [];
    for (const { id } of shared)
      deliveries.push(
        await desk.event({
          type: 'file_shared',
          file_id: id,
          user_id: user.id,
          file: { id },
          channel_id: conversation.id,
        }),
      );
    return { message, fileIds: shared.map(({ id }) => id), deliveries };
  };

  return {
    /**
     * Uploads files as one message, in the ward channel unless given, and tells the app of each (`file_shared`).
     * @throws on no file, more than ten, an empty one, or a reply to nothing.
     */
    shareFiles,
    /** Uploads a file without sharing it, as a form's file input does; gives its id. */
    async upload({ user, ...file }: GivenFile & { user: string }): Promise<string> {
      return keep(person(core, user).id, file).id;
    },
    /** Uploads one file into a channel and tells the app (`file_shared`). */
    async shareFile({ name, bytes, ...where }: GivenFile & { user: string; channel?: string }) {
      const { fileIds, deliveries } = await shareFiles({ ...where, files: [{ name, bytes }] });
      const [fileId] = fileIds;
      const [delivery] = deliveries;
      if (fileId === undefined || !delivery) throw new Error(`“${name}” was not shared.`);
      return { ...delivery, fileId };
    },
  };
}
