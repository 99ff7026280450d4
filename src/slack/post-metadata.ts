import type { MessageMetadata } from '@slack/web-api';
import type { Post } from '../app/ports.ts';

/** The event type every message of the bot carries. */
export const postEventType = 'dicrotic_post';

/** Metadata has a size limit; a handover of more lines names the first ones. */
const mostLinesNamed = 100;

/** What every message of the bot carries: ids only, since everybody in the workspace can read it. */
export function postMetadata(
  wardId: string,
  { key, kind, lines }: Pick<Post, 'key' | 'kind' | 'lines'>,
): MessageMetadata {
  // The platform takes lists of strings; the SDK's type knows only lists of objects.
  return {
    event_type: postEventType,
    event_payload: { key, kind, ward: wardId, lines: lines.slice(0, mostLinesNamed) },
  } as unknown as MessageMetadata;
}
