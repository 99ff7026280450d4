import { randomUUID } from 'node:crypto';
import type { IncomingMessage, ServerResponse } from 'node:http';
import {
  App,
  type BlockAction,
  type GlobalShortcut,
  HTTPReceiver,
  type MessageShortcut,
  type Receiver,
  SocketModeReceiver,
  type ViewOutput,
  type ViewSubmitAction,
} from '@slack/bolt';
import type { KnownBlock, WebClient } from '@slack/web-api';
import { readActionValue } from './action-value.ts';
import { asTyped } from './as-typed.ts';
import type { Bot, Caller } from './bot.ts';
import { doubleTaps } from './double-taps.ts';
import { isPractise, type PractiseMeta, readPractiseMeta } from './forms/practise-meta.ts';
import { guarded } from './guard.ts';
import { meantPressed, onCommand } from './listeners/command.ts';
import {
  oldPractice,
  onPractisePress,
  onPractiseSubmit,
  type PractiseAnswer,
  tellOldPractice,
} from './listeners/practise.ts';
import { onPress } from './listeners/press.ts';
import { menuShortcut, onMenuShortcut } from './listeners/shortcut.ts';
import { onStripShortcut, stripShortcut } from './listeners/strip.ts';
import { type FormAnswer, onSubmit } from './listeners/submit.ts';
import { isTeaching, onTeach } from './listeners/teach.ts';
import { mayTell } from './membership.ts';
import { postMetadata } from './slack-messenger.ts';
import { unescaped } from './text.ts';
import { channelOf, teamOf, wardIdOf } from './ward-id.ts';

/** How the bot is reached: a socket it opens itself, or requests to a port. */
export type Reach =
  | { by: 'socket'; appToken: string }
  | {
      by: 'http';
      signingSecret: string;
      port: number;
      routes: {
        path: string;
        method: string[];
        handler: (request: IncomingMessage, response: ServerResponse) => void;
      }[];
    };

export interface BoltOptions {
  reach: Reach;
  botToken: string;
  slackApiUrl: string;
  /** Seconds from a request's arrival to its ack, for the metrics. */
  acked?: (seconds: number) => void;
  trouble: (what: string, ids: Record<string, string | number>, cause?: unknown) => void;
  logger?: NonNullable<ConstructorParameters<typeof App>[0]>['logger'];
}

export interface BoltEdge {
  start(): Promise<void>;
  /** Since when nothing can reach the bot, ms; null while it is connected, or where the platform calls it. */
  unreachableSince(): number | null;
  /** Stops taking, waits for what runs (at most `patienceMs`), then disconnects. */
  stop(patienceMs: number): Promise<void>;
}

/** How long a call to the platform may take, ms; the ack never waits for one. */
const callTimeoutMs = 10_000;

/** Options of every Web API client here. The SDK's own repeats are off: it would post twice when an answer is lost. */
export function webClientOptions(slackApiUrl: string) {
  return {
    slackApiUrl,
    retryConfig: { retries: 0 },
    timeout: callTimeoutMs,
    rejectRateLimitedCalls: true,
  };
}

/** The chat's edge: every request is acknowledged first, then checked, then answered. */
export function boltEdge(makeBot: (client: WebClient) => Bot, options: BoltOptions): BoltEdge {
  const { reach, botToken, slackApiUrl, trouble, logger } = options;
  const receiver = makeReceiver(options);
  const app = new App({
    token: botToken,
    receiver,
    clientOptions: webClientOptions(slackApiUrl),
    deferInitialization: true,
    convoStore: false,
    ...(logger ? { logger } : {}),
  });
  const bot = makeBot(app.client);
  const running = new Set<Promise<void>>();
  const isSecondTap = doubleTaps(() => Date.now());
  let unreachableSince: number | null = null;
  if (receiver instanceof SocketModeReceiver) {
    const gone = () => {
      unreachableSince ??= Date.now();
    };
    for (const event of ['close', 'reconnecting', 'disconnected']) receiver.client.on(event, gone);
    receiver.client.on('connected', () => {
      unreachableSince = null;
    });
  }

  /** Work that goes on after the ack; stop() waits for it. */
  const goOn = (work: Promise<void>) => {
    running.add(work);
    void work.finally(() => running.delete(work));
    return work;
  };
  const timed = async (ack: () => Promise<void>) => {
    const began = performance.now();
    await ack();
    options.acked?.((performance.now() - began) / 1000);
  };

  app.command(bot.command, async ({ ack, body, respond }) => {
    await timed(() => ack());
    const caller: Caller = {
      wardId: wardIdOf(body.team_id, body.channel_id),
      user: body.user_id,
      triggerId: body.trigger_id,
      once: `c.${body.trigger_id}`,
      say: privately(bot, () => wardIdOf(body.team_id, body.channel_id), body.user_id, respond),
      sayInstead: (text) => inPlace(bot, respond, caller, text),
    };
    await goOn(
      guarded(
        async () => {
          if (body.team_id !== bot.team)
            return caller.say('This bot belongs to another workspace. Nothing was done.');
          await onCommand(bot, caller, { text: unescaped(body.text ?? ''), channelName: body.channel_name });
        },
        caller,
        (what, cause) => trouble(what, { user: body.user_id, channel: body.channel_id }, cause),
      ),
    );
  });

  app.action<BlockAction>(/.*/, async ({ ack, body, action, respond }) => {
    await timed(() => ack());
    const value = readActionValue(
      'value' in action && typeof action.value === 'string' ? action.value : undefined,
    );
    // Inputs inside forms announce themselves too; only buttons of ours carry a value to act on.
    if (!value) return;
    const where = body.view?.id ?? body.container?.message_ts;
    const tapped = JSON.stringify([where, action.action_id, value]);
    if (isSecondTap(body.user.id, tapped, action.action_ts)) return;
    const isAtHome = body.view?.type === 'home';
    const practice = practiceCarried(body.view, body.user.id);
    const wardId = practice?.wardId ?? value.w;
    const caller: Caller = {
      wardId,
      user: body.user.id,
      triggerId: body.trigger_id,
      once: `a.${body.user.id}.${action.action_ts}.${action.action_id}`,
      // A Home is no form: what is opened from it stands by itself, and what is said stands on it.
      ...(body.view && !isAtHome
        ? {
            inView: {
              id: body.view.id,
              rootId: body.view.root_view_id ?? body.view.id,
              previousId: body.view.previous_view_id,
              callbackId: body.view.callback_id,
              form: body.view,
            },
          }
        : {}),
      ...(isOpenMessage(body.container) ? { inMessage: messageOf(body.container) } : {}),
      say: isAtHome
        ? (text, blocks) => bot.homes.say(body.user.id, text, blocks)
        : privately(
            bot,
            () => wardId,
            body.user.id,
            body.response_url ? respond : undefined,
            body.channel?.id,
          ),
      ...(isOwnAnswer(body.container) && body.response_url
        ? { sayInPlace: (text, blocks) => inPlace(bot, respond, caller, text, blocks) }
        : {}),
    };
    await goOn(
      guarded(
        async () => {
          const team = body.team?.id ?? body.user.team_id;
          if (practice === null) return tellOldPractice(bot, body.view?.id);
          const isTaught = practice !== undefined || isTeaching(action.action_id);
          // What only teaches touches no record: whoever reads help may press it.
          const refusal = isTaught ? otherTeam(bot, caller, team) : await notAllowed(bot, caller, team);
          if (refusal !== null) return caller.say(refusal);
          if (practice) return onPractisePress(bot, caller, action.action_id, value, practice);
          if (isTaught) return onTeach(bot, caller, action.action_id, value);
          if (action.action_id === 'done:meant') return meantPressed(bot, caller, value);
          await onPress(bot, caller, action.action_id, value);
        },
        caller,
        (what, cause) => trouble(what, { user: body.user.id, action: action.action_id }, cause),
      ),
    );
  });

  app.shortcut<MessageShortcut>({ callback_id: stripShortcut, type: 'message_action' }, async (args) => {
    const { ack, shortcut, respond } = args;
    await timed(() => ack());
    const team = shortcut.team?.id ?? bot.team;
    const wardId = wardIdOf(team, shortcut.channel.id);
    const caller: Caller = {
      wardId,
      user: shortcut.user.id,
      triggerId: shortcut.trigger_id,
      once: `s.${shortcut.user.id}.${shortcut.action_ts}`,
      say: privately(bot, () => wardId, shortcut.user.id, respond, shortcut.channel.id),
    };
    const files = (shortcut.message as { files?: { id?: unknown }[] }).files ?? [];
    const chosen = {
      files: files.flatMap(({ id }) => (typeof id === 'string' ? [id] : [])),
      at: Math.round(Number(shortcut.message_ts) * 1_000),
    };
    await goOn(
      guarded(
        async () => {
          const refusal = await notAllowed(bot, caller, team);
          if (refusal !== null) return caller.say(refusal);
          await onStripShortcut(bot, caller, chosen);
        },
        caller,
        (what, cause) => trouble(what, { user: shortcut.user.id, action: stripShortcut }, cause),
      ),
    );
  });

  app.shortcut<GlobalShortcut>({ callback_id: menuShortcut, type: 'shortcut' }, async ({ ack, shortcut }) => {
    await timed(() => ack());
    const team = shortcut.team?.id ?? shortcut.user.team_id;
    const user = shortcut.user.id;
    const caller: Caller = {
      wardId: wardIdOf(bot.team, ''),
      user,
      triggerId: shortcut.trigger_id,
      once: `s.${user}.${shortcut.action_ts}`,
      say: async (text) => void (await bot.client.chat.postMessage({ channel: user, text })),
    };
    await goOn(
      guarded(
        async () => {
          const refusal = otherTeam(bot, caller, team);
          if (refusal !== null) return caller.say(refusal);
          await onMenuShortcut(bot, caller);
        },
        caller,
        (what, cause) => trouble(what, { user, action: menuShortcut }, cause),
      ),
    );
  });

  app.event('app_home_opened', async ({ event, body }) => {
    if (event.tab !== 'home' || body.team_id !== bot.team) return;
    const { user } = event;
    const opened = bot.homes
      .open(user)
      .catch((cause: unknown) => trouble('a Home could not be shown', { user }, cause));
    await goOn(opened);
  });

  app.view<ViewSubmitAction>({ callback_id: /.*/, type: 'view_submission' }, async ({ ack, body, view }) => {
    const practice = practiceCarried(view, body.user.id);
    const meta = practice?.wardId ?? wardOfView(view.private_metadata);
    const caller: Caller = {
      wardId: meta,
      user: body.user.id,
      triggerId: body.trigger_id,
      once: `v.${view.id}`,
      say: privately(bot, () => meta, body.user.id),
    };
    const team = body.team?.id ?? body.user.team_id;
    const refused = () => notAllowed(bot, caller, team);
    const began = performance.now();
    let answered = false;
    const answer = async (response: PractiseAnswer | undefined) => {
      if (answered) return false;
      answered = true;
      await (response ? ack(asTyped(response, bot.command)) : ack());
      options.acked?.((performance.now() - began) / 1000);
      return true;
    };
    await goOn(
      guarded(
        async () => {
          if (practice === undefined) return onSubmit(bot, caller, view, answer, refused);
          const refusal = practice === null ? oldPractice : otherTeam(bot, caller, team);
          if (refusal !== null || practice === null) {
            if (!(await answer(failure(view, refusal ?? oldPractice))))
              await caller.say(refusal ?? oldPractice);
            return;
          }
          return onPractiseSubmit(bot, caller, view, practice, answer);
        },
        { say: async (text) => void ((await answer(failure(view, text))) || (await caller.say(text))) },
        (what, cause) => trouble(what, { user: body.user.id, view: view.callback_id }, cause),
      ),
    );
  });

  app.error(async (error) => {
    trouble('the chat framework reported an error', { code: error.code }, error);
  });

  return {
    async start() {
      await app.init();
      await (reach.by === 'http' ? app.start(reach.port) : app.start());
    },
    unreachableSince: () => unreachableSince,
    async stop(patienceMs) {
      if (reach.by === 'http') await app.stop();
      const patience = new Promise<void>((resolve) => setTimeout(resolve, patienceMs).unref());
      await Promise.race([Promise.allSettled(running).then(() => undefined), patience]);
      if (receiver instanceof SocketModeReceiver) await receiver.client.disconnect();
    },
  };
}

function makeReceiver({ reach, slackApiUrl, logger }: BoltOptions): Receiver {
  if (reach.by === 'socket') {
    return new SocketModeReceiver({
      appToken: reach.appToken,
      // An object of its own: the receiver changes the retry settings of the one it is given.
      installerOptions: { clientOptions: { slackApiUrl } },
      ...(logger ? { logger } : {}),
    });
  }
  return new HTTPReceiver({
    signingSecret: reach.signingSecret,
    endpoints: '/slack/events',
    customRoutes: reach.routes,
    ...(logger ? { logger } : {}),
  });
}

/** What a view carries of its practice: undefined of a real view, null where it cannot be read. */
function practiceCarried(
  view: { callback_id: string; private_metadata: string } | undefined,
  user: string,
): PractiseMeta | null | undefined {
  if (!view || !isPractise(view.callback_id)) return undefined;
  return readPractiseMeta(view.private_metadata, user);
}

/** Why a press from another workspace is not taken; null when it is from ours. */
function otherTeam(bot: Bot, caller: Caller, team: string | undefined): string | null {
  return team === bot.team && teamOf(caller.wardId) === bot.team
    ? null
    : 'This belongs to another workspace. Nothing was done.';
}

/** Why this press or form is not taken: another workspace, or a person who has no part in this ward; null when it is. */
async function notAllowed(bot: Bot, caller: Caller, team: string | undefined): Promise<string | null> {
  const other = otherTeam(bot, caller, team);
  if (other !== null) return other;
  const ward = await bot.deps.record.readWardState(caller.wardId);
  if (await mayTell(bot.membership, ward, caller.user, bot.deps.clock.now())) return null;
  return 'You are not in this ward’s channel, so nothing was recorded. Join the channel, or ask somebody on the ward.';
}

/** An answer for one person: beside the message they pressed, else in the ward's channel, else by direct message. */
function privately(
  { client, command }: Bot,
  wardId: () => string,
  user: string,
  respond?: (message: {
    text: string;
    response_type: 'ephemeral';
    replace_original: false;
    blocks?: KnownBlock[];
  }) => Promise<unknown>,
  channel?: string,
): Caller['say'] {
  return async (words, itsBlocks) => {
    const { text, ...more } = asTyped({ text: words, ...(itsBlocks ? { blocks: itsBlocks } : {}) }, command);
    const ways = [
      ...(respond
        ? [() => respond({ text, response_type: 'ephemeral', replace_original: false, ...more })]
        : []),
      () => client.chat.postEphemeral({ channel: channel ?? channelOf(wardId()), user, text, ...more }),
      // Not in the channel: a clinician who decides by direct message.
      () => client.chat.postMessage({ channel: user, text, ...more, metadata: answerMetadata(wardId()) }),
    ];
    for (const [index, say] of ways.entries()) {
      try {
        await say();
        return;
      } catch (error) {
        // What was told may be recorded by now: nobody must think it is not because one way to say so failed.
        if (index === ways.length - 1) throw error;
      }
    }
  };
}

/** Says it in place of an answer of ours; where the platform knows none to replace, it is said once more instead. */
async function inPlace(
  { command }: Bot,
  respond: (message: {
    text: string;
    response_type: 'ephemeral';
    replace_original: true;
    blocks?: KnownBlock[];
  }) => Promise<unknown>,
  caller: Caller,
  text: string,
  blocks?: KnownBlock[],
): Promise<void> {
  const said = asTyped({ text, ...(blocks ? { blocks } : {}) }, command);
  await respond({ response_type: 'ephemeral', replace_original: true, ...said }).catch(() =>
    caller.say(text, blocks),
  );
}

interface Container {
  type?: unknown;
  channel_id?: unknown;
  message_ts?: unknown;
  is_ephemeral?: unknown;
}

/** Whether something was pressed in a message that everybody in its place sees. */
function isOpenMessage(container: Container | undefined): boolean {
  return container?.type === 'message' && container.is_ephemeral !== true;
}

/** Whether something was pressed in an answer that only whoever pressed it sees. */
function isOwnAnswer(container: Container | undefined): boolean {
  return container?.type === 'message' && container.is_ephemeral === true;
}

function messageOf({ channel_id, message_ts }: Container): { channel: string; id: string } {
  return { channel: String(channel_id), id: String(message_ts) };
}

/** An answer is no post of the outbox, but carries what every message does. */
function answerMetadata(wardId: string) {
  return postMetadata(wardId, { key: `answer.${randomUUID()}`, kind: 'notice', lines: [] });
}

function wardOfView(privateMetadata: string): string {
  try {
    const meta = JSON.parse(privateMetadata) as { ward?: unknown; w?: unknown };
    const ward = meta.ward ?? meta.w;
    return typeof ward === 'string' ? ward : '';
  } catch {
    return '';
  }
}

/** A sentence at the form's first field, so that what was typed stays where it is. */
function failure(view: ViewOutput, text: string): FormAnswer | undefined {
  const first = view.blocks.find((block) => block.type === 'input')?.block_id;
  return first ? { response_action: 'errors', errors: { [first]: text } } : undefined;
}
