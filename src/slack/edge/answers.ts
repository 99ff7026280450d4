import { randomUUID } from 'node:crypto';
import type { KnownBlock } from '@slack/web-api';
import { asTyped } from '../../chat/as-typed.ts';
import type { Bot, Caller } from '../../chat/bot.ts';
import { channelOf } from '../../chat/ward-id.ts';
import { withWarning } from '../../chat/with-warning.ts';
import { postMetadata } from '../slack-messenger.ts';

/** An answer for one person: beside the message they pressed, else in the ward's channel, else by direct message. */
export function privately(
  { client, command, warning }: Pick<Bot, 'client' | 'command' | 'warning'>,
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
    const { text, ...more } = asTyped(withWarning(await warning(), words, itsBlocks), command);
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
export async function inPlace(
  { command, warning }: Pick<Bot, 'command' | 'warning'>,
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
  const said = asTyped(withWarning(await warning(), text, blocks), command);
  await respond({ response_type: 'ephemeral', replace_original: true, ...said }).catch(() =>
    caller.say(text, blocks),
  );
}

/** An answer is no post of the outbox, but carries what every message does. */
export function answerMetadata(wardId: string) {
  return postMetadata(wardId, { key: `answer.${randomUUID()}`, kind: 'notice', lines: [] });
}
