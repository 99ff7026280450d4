import type { Message } from '../../src/chat/parts.ts';
import { type Drawn, drawnMessage } from '../../src/slack/render/message.ts';

/** A message with what the platform is sent of it. */
export function drawn(message: Message): Message & Drawn {
  return { ...message, ...drawnMessage(message) };
}
