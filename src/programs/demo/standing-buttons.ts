import type { Platform } from '../../practice/platform/platform.ts';

/** A button as it stands in a message now. */
export interface StandingButton {
  channel: string;
  ts: string;
  kind: string;
  actionId: string;
  blockId: string;
  /** The patient it is about, from what a screen reader says of it; empty where it is about none. */
  patient: string;
}

/** The kind of a message by its metadata; empty where it has none. */
export function kindOf({ metadata }: { metadata?: { event_payload: Record<string, unknown> } }): string {
  const kind = metadata?.event_payload.kind;
  return typeof kind === 'string' ? kind : '';
}

/** The key of a message's post by its metadata; empty where it has none. */
export function keyOf({ metadata }: { metadata?: { event_payload: Record<string, unknown> } }): string {
  const key = metadata?.event_payload.key;
  return typeof key === 'string' ? key : '';
}

/** Every button in a conversation's messages, newest message first. */
export function standingButtons(platform: Platform, conversation: string, channel: string): StandingButton[] {
  return platform
    .messages(conversation)
    .toReversed()
    .flatMap((message) =>
      (message.blocks ?? []).flatMap((block) => {
        const elements = (block.elements ?? []) as {
          type?: string;
          action_id?: string;
          accessibility_label?: string;
        }[];
        return elements
          .filter(({ type }) => type === 'button')
          .map((element) => ({
            channel,
            ts: message.ts,
            kind: kindOf(message),
            actionId: element.action_id ?? '',
            blockId: typeof block.block_id === 'string' ? block.block_id : '',
            patient: element.accessibility_label?.split(':')[0] ?? '',
          }));
      }),
    );
}
