import type { App } from '@slack/bolt';
import { offerSetUp } from '../../app/set-up-ward.ts';
import { asTyped } from '../../chat/as-typed.ts';
import { guarded } from '../../chat/guard.ts';
import { type Written, writtenAnswer } from '../../chat/listeners/written.ts';
import { mayRecord } from '../../chat/membership.ts';
import { setUpButton, setUpFirst } from '../../chat/messages/set-up.ts';
import type { Part } from '../../chat/parts.ts';
import { wardIdOf } from '../../chat/ward-id.ts';
import { wardsOf } from '../../chat/wards-of.ts';
import { wholeText } from '../../chat/whole-text.ts';
import { withWarning } from '../../chat/with-warning.ts';
import { drawnAnswer } from '../render/message.ts';
import { asWritten } from '../render/mrkdwn.ts';
import type { SlackBot } from '../slack-bot.ts';
import { answerMetadata, privately } from './answers.ts';
import type { Taken } from './taken.ts';

/** Kinds of message that a person writes; the others tell of joins, edits and the like. */
const written: ReadonlySet<unknown> = new Set([undefined, 'file_share', 'thread_broadcast']);
/** Events of which is remembered that they were answered: the platform may deliver one again. */
const mostRemembered = 500;

/** What people write to the bot: by direct message, or by its name in a channel. */
export function takeMessages(app: App, taken: Taken): void {
  const answered = new Set<string>();
  const isNew = (eventId: string) => {
    if (answered.has(eventId)) return false;
    if (answered.size >= mostRemembered) answered.clear();
    answered.add(eventId);
    return true;
  };
  takeDirect(app, taken, isNew);
  takeMentions(app, taken, isNew);
}

type IsNew = (eventId: string) => boolean;
type Say = (text: string, parts?: readonly Part[]) => Promise<void>;

function takeDirect(app: App, taken: Taken, isNew: IsNew): void {
  app.event('message', async ({ event, body }) => {
    const { channel, channel_type: type, subtype } = event;
    const { user, text, bot_id: botId } = event as { user?: string; text?: string; bot_id?: string };
    if (type !== 'im' || !written.has(subtype)) return;
    const bot = await taken.botOf(body.team_id);
    if (!bot || body.team_id !== bot.team) return;
    if (user === undefined || botId !== undefined || user === bot.userId || !isNew(body.event_id)) return;
    let wardIds: string[] = [];
    const say: Say = async (words, parts) => {
      const told = withWarning(await bot.warning(), { text: words, ...(parts ? { parts } : {}) });
      const said = asTyped(drawnAnswer(told), bot.command);
      const [first] = wardIds;
      const metadata = first === undefined ? {} : { metadata: answerMetadata(first) };
      await bot.client.chat.postMessage({ channel, ...said, ...metadata });
    };
    await answer(taken, bot, user, say, async () => {
      wardIds = await wardsOf(bot.deps.record, bot.membership, user, bot.deps.clock.now());
      return { user, text: plain(bot, text), wardIds, isDirect: true };
    });
  });
}

function takeMentions(app: App, taken: Taken, isNew: IsNew): void {
  app.event('app_mention', async ({ event, body }) => {
    const { user, channel, text } = event;
    const bot = await taken.botOf(body.team_id);
    if (!bot || user === undefined || body.team_id !== bot.team || !isNew(body.event_id)) return;
    const wardId = wardIdOf(bot.team, channel);
    const { record, clock } = bot.deps;
    const privatelySaid = privately(bot, () => wardId, user, undefined, channel);
    const say: Say = async (words, parts) => {
      // In a channel that is no ward yet, the first thing to say is how it becomes one.
      const offered = await offerSetUp(bot.deps, wardId, `named.${body.event_id}`).catch(() => 'in use');
      if (offered === 'in use') return privatelySaid(words, parts);
      if (offered === 'stands') return privatelySaid(setUpFirst, setUpButton(wardId));
    };
    await answer(taken, bot, user, say, async () => {
      const { ward, lines } = await record.readWard(wardId);
      const isWard = ward.version > 0 || lines.length > 0;
      const may = isWard && (await mayRecord(bot.membership, ward, user, clock.now()).catch(() => false));
      return { user, text: plain(bot, text), wardIds: may ? [wardId] : [], isDirect: false };
    });
  });
}

function answer(
  { goOn, trouble }: Taken,
  bot: SlackBot,
  user: string,
  say: Say,
  what: () => Promise<Written>,
): Promise<void> {
  return goOn(
    guarded(
      async () => {
        const { lead, parts } = await writtenAnswer(bot, await what());
        await say(wholeText(lead, parts), parts);
      },
      { say },
      (why, cause) => trouble(why, { user }, cause),
    ),
  );
}

/** What was written, without the bot's own name. */
function plain(bot: SlackBot, text: string | undefined): string {
  return asWritten((text ?? '').replaceAll(new RegExp(`<@${bot.userId}(\\|[^>]*)?>`, 'g'), ' '));
}
