import type { KnownBlock, ModalView, WebClient } from '@slack/web-api';
import type { AppDeps } from '../app/app-deps.ts';
import type { Audits } from '../app/audits.ts';
import type { MakeRecordFile } from '../app/record-file.ts';
import type { MakePaper } from '../paper/make-paper.ts';
import type { Homes } from '../slack/homes.ts';
import type { Membership } from '../slack/membership.ts';
import type { People } from '../slack/people.ts';
import type { SharePicture } from '../slack/share-file.ts';
import type { Strips } from '../slack/strips.ts';
import { asTyped } from './as-typed.ts';
import type { Names } from './names.ts';

/** What every listener works with. */
export interface Bot {
  deps: AppDeps;
  client: WebClient;
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
  /** The view it was pressed in, when it was pressed in one; `form` is that view as it came, with what stands in it. */
  inView?: { id: string; rootId: string; previousId: string | null; callbackId: string; form: unknown };
  /** Answers this person alone, where they are. */
  say(text: string, blocks?: KnownBlock[]): Promise<void>;
  /** Puts it in place of the answer that was pressed in, whose buttons are used up; absent where that was none. */
  sayInPlace?(text: string, blocks?: KnownBlock[]): Promise<void>;
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
  view: ModalView,
  tooLate = 'The form did not open in time, so nothing was recorded. Press or type it once more.',
): Promise<void> {
  const { triggerId, inView } = caller;
  const shown = { trigger_id: triggerId, view: asTyped(view, bot.command) };
  try {
    // A list of what is due makes room for a page about a line: Back leads nowhere that would have to be kept up to date.
    if (inView && makesRoom.has(inView.callbackId) && pages.has(view.callback_id ?? ''))
      await updateView(bot, inView.id, view);
    else if (inView) await bot.client.views.push(shown);
    else await bot.client.views.open(shown);
  } catch (cause) {
    bot.deps.watch.trouble(
      'a form could not be opened',
      { user: caller.user, view: view.callback_id ?? '' },
      cause,
    );
    await caller.say(tooLate);
  }
}

/** Answers in place of the answer that was pressed in, else beside what was. */
export function sayInPlace(caller: Caller, text: string, blocks?: KnownBlock[]): Promise<void> {
  return caller.sayInPlace ? caller.sayInPlace(text, blocks) : caller.say(text, blocks);
}

/** Brings the view the caller is in up to date. */
export async function updateView(bot: Bot, viewId: string, view: ModalView): Promise<void> {
  await bot.client.views.update({ view_id: viewId, view: asTyped(view, bot.command) });
}
