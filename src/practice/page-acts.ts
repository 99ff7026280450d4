import { z } from 'zod';
import { exampleStrips } from './example-strips.ts';
import type { Json } from './platform/message.ts';
import type { Platform } from './platform/platform.ts';

const raw = z.union([z.string(), z.number(), z.array(z.string()), z.null()]);
const user = z.string().min(1);
const where = z.enum(['ward', 'direct']);
const values = z.record(z.string(), raw).optional();

const actSchema = z.discriminatedUnion('kind', [
  z.strictObject({ kind: z.literal('slash'), user, where, text: z.string().max(8_000) }),
  z.strictObject({
    kind: z.literal('press'),
    user,
    messageTs: z.string().optional(),
    channel: z.string().optional(),
    viewId: z.string().optional(),
    actionId: z.string(),
    blockId: z.string(),
    selected: raw.optional(),
    values,
  }),
  z.strictObject({ kind: z.literal('submit'), user, viewId: z.string(), values }),
  z.strictObject({ kind: z.literal('close'), user, viewId: z.string(), all: z.boolean().optional() }),
  z.strictObject({
    kind: z.literal('messageShortcut'),
    user,
    channel: z.string(),
    messageTs: z.string(),
    callbackId: z.string(),
  }),
  z.strictObject({ kind: z.literal('openHome'), user }),
  z.strictObject({ kind: z.literal('invite') }),
  z.strictObject({ kind: z.literal('shortcut'), user, callbackId: z.string() }),
  z.strictObject({
    kind: z.literal('shareExample'),
    user,
    name: z.enum(exampleStrips.map(({ name }) => name)),
  }),
  z.strictObject({
    kind: z.literal('upload'),
    user,
    name: z.string().min(1).max(200),
    bytesBase64: z.base64(),
  }),
]);

/** Files of one message of the page, together. */
export const mostSharedMegabytes = 12;

const sharedFilesSchema = z.object({
  fields: z.strictObject({ user }),
  files: z.array(
    z.object({
      name: z
        .string()
        .min(1)
        .max(200, { error: 'A file’s name has at most 200 characters. Give it a shorter one.' }),
      bytes: z.instanceof(Buffer),
    }),
  ),
});

/** Files somebody attached on the practice page, put into the ward channel as one message. Says what came of it. */
export async function shareFromPage(
  platform: Platform,
  form: unknown,
): Promise<{ status: number; answer: Json }> {
  const parsed = sharedFilesSchema.safeParse(form);
  if (!parsed.success)
    return { status: 400, answer: { problem: parsed.error.issues.map(({ message }) => message).join(' ') } };
  const { fields, files } = parsed.data;
  const bytes = files.reduce((sum, file) => sum + file.bytes.length, 0);
  if (bytes > mostSharedMegabytes * 1_000_000) return tooLarge;
  try {
    const { message, fileIds } = await platform.shareFiles({ user: fields.user, files });
    return { status: 200, answer: { ts: message.ts, fileIds } };
  } catch (cause) {
    return { status: 409, answer: { problem: cause instanceof Error ? cause.message : String(cause) } };
  }
}

/** What is answered to more than `mostSharedMegabytes`. */
export const tooLarge = {
  status: 413,
  answer: {
    problem: `The files are above ${mostSharedMegabytes} MB together. Attach fewer, or cut the strip shorter.`,
  },
};

/** One thing a person did on the practice page, done through the platform. Says what came of it. */
export async function doPageAct(
  platform: Platform,
  body: unknown,
): Promise<{ status: number; answer: Json }> {
  const parsed = actSchema.safeParse(body);
  if (!parsed.success)
    return {
      status: 400,
      answer: { problem: `The page asked for something unknown. ${parsed.error.message}` },
    };
  const act = parsed.data;
  try {
    switch (act.kind) {
      case 'slash': {
        const channel =
          act.where === 'ward'
            ? platform.world.wardChannelId
            : platform.core.workspace.directMessages(act.user).id;
        const { acked, ackMs } = await platform.slash({ user: act.user, channel, text: act.text });
        return { status: 200, answer: { acked, ackMs } };
      }
      case 'press': {
        const { kind: _kind, values: filled, selected, messageTs, channel, viewId, ...rest } = act;
        if (viewId !== undefined && filled) await platform.fill(viewId, filled);
        const { acked, ackMs } = await platform.press({
          ...rest,
          ...(messageTs === undefined ? {} : { messageTs }),
          ...(channel === undefined ? {} : { channel }),
          ...(viewId === undefined ? {} : { viewId }),
          ...(selected === undefined ? {} : { selected }),
        });
        return { status: 200, answer: { acked, ackMs } };
      }
      case 'submit': {
        if (act.values) await platform.fill(act.viewId, act.values);
        const { acked, ackMs, errors, accepted } = await platform.submit(act);
        return { status: 200, answer: { acked, ackMs, errors, accepted } };
      }
      case 'close':
        await platform.close({
          user: act.user,
          viewId: act.viewId,
          ...(act.all === undefined ? {} : { all: act.all }),
        });
        return { status: 200, answer: {} };
      case 'messageShortcut': {
        const { acked, ackMs } = await platform.messageShortcut(act);
        return { status: 200, answer: { acked, ackMs } };
      }
      case 'openHome': {
        const { acked, ackMs } = await platform.openHome(act);
        return { status: 200, answer: { acked, ackMs } };
      }
      case 'invite': {
        const { wardChannelId: channel, app } = platform.world;
        const { acked, ackMs } = await platform.join({ user: app.botUserId, channel });
        return { status: 200, answer: { acked, ackMs } };
      }
      case 'shortcut': {
        const { acked, ackMs } = await platform.shortcut(act);
        return { status: 200, answer: { acked, ackMs } };
      }
      case 'shareExample': {
        const files = exampleStrips
          .filter(({ name }) => name === act.name)
          .map(({ fileName, bytes }) => ({ name: fileName, bytes: bytes() }));
        const { message, fileIds } = await platform.shareFiles({ user: act.user, files });
        return { status: 200, answer: { ts: message.ts, fileIds } };
      }
      case 'upload': {
        const bytes = Buffer.from(act.bytesBase64, 'base64');
        const id = await platform.upload({ user: act.user, name: act.name, bytes });
        return { status: 200, answer: { id } };
      }
    }
  } catch (cause) {
    // The platform refuses what a person could not have done; on this page that means the screen was out of date.
    return { status: 409, answer: { problem: cause instanceof Error ? cause.message : String(cause) } };
  }
}
