import { z } from 'zod';
import { exampleStrips } from './example-strips.ts';
import { type ActAnswer, actSchema, type PageAct } from './page-messages.ts';
import type { Delivery } from './platform/delivery.ts';
import type { Platform } from './platform/platform.ts';

/** Files of one message of the page, together. */
export const mostSharedMegabytes = 12;

const sharedFilesSchema = z.object({
  fields: z.strictObject({ user: z.string().min(1) }),
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

/** An answer to the page, with the HTTP status it goes out under. */
export interface Answer<Body extends object = object> {
  status: number;
  answer: Body;
}

/** Answers that something could not be done. */
export const problem = (status: number, words: string) => ({ status, answer: { problem: words } });

/**
 * Answers with what `run` gives. What it throws becomes a problem: the platform refuses what a person could not have
 * done, and on this page that means the screen was out of date.
 */
export async function answered<Body extends object>(
  run: () => Promise<Body>,
): Promise<Answer<Body | { problem: string }>> {
  try {
    return { status: 200, answer: await run() };
  } catch (cause) {
    return problem(409, cause instanceof Error ? cause.message : String(cause));
  }
}

/** What is answered to more than `mostSharedMegabytes`. */
export const tooLarge = problem(
  413,
  `The files are above ${mostSharedMegabytes} MB together. Attach fewer, or cut the strip shorter.`,
);

/** Files somebody attached on the practice page, put into the ward channel as one message. Says what came of it. */
export async function shareFromPage(platform: Platform, form: unknown): Promise<Answer<ActAnswer>> {
  const parsed = sharedFilesSchema.safeParse(form);
  if (!parsed.success) return problem(400, parsed.error.issues.map(({ message }) => message).join(' '));
  const { fields, files } = parsed.data;
  const bytes = files.reduce((sum, file) => sum + file.bytes.length, 0);
  if (bytes > mostSharedMegabytes * 1_000_000) return tooLarge;
  return answered(async () => {
    await platform.shareFiles({ user: fields.user, files });
    return {};
  });
}

/** One thing a person did on the practice page, done through the platform. Says what came of it. */
export async function doPageAct(platform: Platform, body: unknown): Promise<Answer<ActAnswer>> {
  const parsed = actSchema.safeParse(body);
  if (!parsed.success) return problem(400, `The page asked for something unknown. ${parsed.error.message}`);
  return answered(() => done(platform, parsed.data));
}

const taken = ({ acked }: Delivery): ActAnswer => ({ acked });

async function done(platform: Platform, act: PageAct): Promise<ActAnswer> {
  const { world, core } = platform;
  switch (act.kind) {
    case 'slash': {
      const isWard = act.where === 'ward';
      const channel = isWard ? world.wardChannelId : core.workspace.directMessages(act.user).id;
      return taken(await platform.slash({ user: act.user, channel, text: act.text }));
    }
    case 'press':
      if (act.viewId !== undefined && act.values) await platform.fill(act.viewId, act.values);
      return taken(await platform.press(act));
    case 'submit': {
      if (act.values) await platform.fill(act.viewId, act.values);
      const { errors, accepted } = await platform.submit(act);
      return { errors, accepted };
    }
    case 'close':
      await platform.close(act);
      return {};
    case 'messageShortcut':
      return taken(await platform.messageShortcut(act));
    case 'shortcut':
      return taken(await platform.shortcut(act));
    case 'openHome':
      return taken(await platform.openHome(act));
    case 'invite':
      return taken(await platform.join({ user: world.app.botUserId, channel: world.wardChannelId }));
    case 'shareExample': {
      const files = exampleStrips
        .filter(({ name }) => name === act.name)
        .map(({ fileName, bytes }) => ({ name: fileName, bytes: bytes() }));
      await platform.shareFiles({ user: act.user, files });
      return {};
    }
    case 'upload': {
      const bytes = Buffer.from(act.bytesBase64, 'base64');
      return { id: await platform.upload({ user: act.user, name: act.name, bytes }) };
    }
  }
}
