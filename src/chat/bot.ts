import type { AppDeps } from '../app/app-deps.ts';
import type { Audits } from '../app/audits.ts';
import type { MakeRecordFile } from '../app/record-file.ts';
import type { MakePaper } from '../paper/make-paper.ts';
import type { Names } from '../wording/names.ts';
import type { SharedFile, SharePicture } from './files.ts';
import type { Form, Sent } from './form.ts';
import type { Homes } from './homes.ts';
import type { Membership } from './membership.ts';
import type { Message } from './parts.ts';
import { type Part } from './parts.ts';
import type { People } from './people.ts';
import type { Strips } from './strips.ts';

/** Pages over what somebody sees. */
export interface Screens {
  /** Opens one; `triggerId` is good for one within 3 s of the press. */
  open(triggerId: string, form: Form): Promise<void>;
  /** Puts one on top of that in which was pressed. */
  push(triggerId: string, form: Form): Promise<void>;
  /** Puts one in place of another that is open. */
  update(pageId: string, form: Form): Promise<void>;
}

/** Where a message stands. */
export interface Stands {
  channel: string;
  id: string;
}

/** Messages and files that a listener sends itself: what somebody asked for, and what no reminder hangs on. */
export interface Posts {
  /** To a channel, to a thread of it, or to a person; null where the platform does not say where it stands. */
  send(
    to: { channel: string; thread?: string } | { user: string },
    message: Pick<Message, 'lead' | 'parts'>,
    about: PostAbout,
  ): Promise<Stands | null>;
  edit(at: Stands, message: Pick<Message, 'lead' | 'parts'>, about: PostAbout): Promise<void>;
  /** A link to a message; null where the platform does not say. */
  linkTo(at: Stands): Promise<string | null>;
  /** By direct message, with a comment. */
  sendFile(user: string, file: SharedFile, said: { title: string; comment: string }): Promise<void>;
}

/** What a message carries of itself, for whoever looks for it: ids only. */
export interface PostAbout {
  wardId: string;
  key: string;
  lines: readonly string[];
}

/** What every listener works with. */
export interface Bot {
  deps: AppDeps;
  screens: Screens;
  posts: Posts;
  names: Names;
  membership: Membership;
  /** Whether somebody who is named can be told anything. */
  people: People;
  /** Fetches what somebody uploaded and draws what was read from it. */
  strips: Strips;
  sharePicture: SharePicture;
  audits: Audits;
  /** Everybody's Home. */
  homes: Homes;
  /** Asks the platform whether a ward's channel can be posted in, and tells the ward where that is news. */
  lookAtChannel: (wardId: string) => Promise<void>;
  /** The platform gave the ward's channel another id: what waits at the platform is set up there anew. */
  channelChanged: (wardId: string) => Promise<void>;
  /** Makes the file of a ward's record. */
  makeRecordFile: MakeRecordFile;
  /** Makes a page as a PDF. */
  makePaper: MakePaper;
  /** What everybody who is answered must read first: reminders are off; null while they run. Never fails, never waits long. */
  warning: () => Promise<string | null>;
  /** The slash command with its slash. */
  command: string;
  /** The workspace the token belongs to. */
  team: string;
  /** The bot's own user id. */
  userId: string;
}

/** One person at one surface, waiting for an answer. */
export interface Caller {
  wardId: string;
  user: string;
  /** Good for opening one view within 3 s. */
  triggerId: string;
  /** The key of this very press or submit, the same when the platform delivers it again. */
  once: string;
  /** The channel it was typed or pressed in; absent in a form and on Home. */
  inChannel?: string;
  /** The message it was pressed in, when it was pressed in one that everybody sees. */
  inMessage?: { channel: string; id: string };
  /** The view it was pressed in, when it was pressed in one; `page` is which it is, `form` what stands in it. */
  inView?: { id: string; rootId: string; previousId: string | null; page: string; form: Sent | null };
  /** Answers this person alone, where they are. */
  say(text: string, parts?: readonly Part[]): Promise<void>;
  /** Puts it in place of the answer that was pressed in, whose buttons are used up; absent where that was none. */
  sayInPlace?(text: string, parts?: readonly Part[]): Promise<void>;
  /** Says it in place of what was last said here, where the platform can; absent where it cannot. Four times at most. */
  sayInstead?(text: string): Promise<void>;
}

/** Pages about one line, which are kept up to date while they are open. */
const pages: ReadonlySet<string> = new Set(['line', 'fault']);
/** Views in whose place such a page comes. */
const makesRoom: ReadonlySet<string> = new Set(['mine', 'cannot']);

/** Opens a form for the caller: on top of the view they are in, else anew. Says `tooLate` when it comes too late. */
export async function openView(
  bot: Bot,
  caller: Caller,
  view: Form,
  tooLate = 'The form did not open in time, so nothing was recorded. Press or type it once more.',
): Promise<void> {
  const { triggerId, inView } = caller;
  try {
    // A list of what is due makes room for a page about a line: Back leads nowhere that would have to be kept up to date.
    if (inView && makesRoom.has(inView.page) && pages.has(view.id)) await updateView(bot, inView.id, view);
    else if (inView && isOnHighest(inView)) await updateView(bot, inView.id, view);
    else if (inView) await bot.screens.push(triggerId, view);
    else await bot.screens.open(triggerId, view);
  } catch (cause) {
    bot.deps.watch.trouble('a form could not be opened', { user: caller.user, view: view.id }, cause);
    await caller.say(tooLate);
  }
}

/**
 * Whether a view stands on two others: a platform takes no fourth, so the next comes in its
 * place.
 */
export function isOnHighest({
  rootId,
  previousId,
}: Pick<NonNullable<Caller['inView']>, 'rootId' | 'previousId'>): boolean {
  return previousId !== null && previousId !== rootId;
}

/** Answers in place of the answer that was pressed in, else beside what was. */
export function sayInPlace(caller: Caller, text: string, parts?: readonly Part[]): Promise<void> {
  return caller.sayInPlace ? caller.sayInPlace(text, parts) : caller.say(text, parts);
}

/** Brings the view the caller is in up to date. */
export async function updateView(bot: Bot, viewId: string, view: Form): Promise<void> {
  await bot.screens.update(viewId, view);
}
