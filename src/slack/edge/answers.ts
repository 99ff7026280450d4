import { randomUUID } from 'node:crypto';
import type { KnownBlock } from '@slack/web-api';
import { asTyped } from '../../chat/as-typed.ts';
import type { Caller } from '../../chat/bot.ts';
import type { Part } from '../../chat/parts.ts';
import { channelOf } from '../../chat/ward-id.ts';
import { withWarning } from '../../chat/with-warning.ts';
import { postMetadata } from '../post-metadata.ts';
import { drawnAnswer } from '../render/message.ts';
import type { SlackBot } from '../slack-bot.ts';

/** An answer for one person: beside the message they pressed, else in the ward's channel, else by direct message. */
export function privately(
  { client, command, warning }: Pick<SlackBot, 'client' | 'command' | 'warning'>,
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
  return async (words, parts) => {
    const { text, ...more } = asTyped(
      drawnAnswer(withWarning(await warning(), answerOf(words, parts))),
      command,
    );
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
        // What was sent may be recorded by now: nobody must think it is not because one way to say so failed.
        if (index === ways.length - 1) throw error;
      }
    }
  };
}

/** Says it in place of an answer of ours; where the platform knows none to replace, it is said once more instead. */
export async function inPlace(
  { command, warning }: Pick<SlackBot, 'command' | 'warning'>,
  respond: (message: {
    text: string;
    response_type: 'ephemeral';
    replace_original: true;
    blocks?: KnownBlock[];
  }) => Promise<unknown>,
  caller: Caller,
  text: string,
  parts?: readonly Part[],
): Promise<void> {
  const said = asTyped(drawnAnswer(withWarning(await warning(), answerOf(text, parts))), command);
  await respond({ response_type: 'ephemeral', replace_original: true, ...said }).catch(() =>
    caller.say(text, parts),
  );
}

/** An answer is no post of the outbox, but carries what every message does. */
export function answerMetadata(wardId: string) {
  return postMetadata(wardId, { key: `answer.${randomUUID()}`, kind: 'notice', lines: [] });
}

function answerOf(text: string, parts: readonly Part[] | undefined) {
  return { text, ...(parts ? { parts } : {}) };
}
