import { withIds } from './block-ids.ts';
import { blockProblems, mostBlockJsonCharacters } from './block-limits.ts';
import { asText, type PlatformCore, refuse, structured } from './core.ts';
import type { Json, StoredMessage } from './message.ts';

/** Text above this is cut by chat.postMessage. */
const mostTextCharacters = 40_000;
/** Metadata above this many bytes is refused. From memory; the method page gives no number. */
const mostMetadataBytes = 16_000;

/** What a call asks to show, checked against every limit. */
export interface Composed {
  text?: string;
  blocks?: Json[];
  metadata?: NonNullable<StoredMessage['metadata']>;
}

/** Checks text, blocks and metadata of a posting call. `name` is the call, for the warning about missing text. */
export function compose(
  core: PlatformCore,
  name: string,
  args: Json,
): { ok: true; composed: Composed } | { ok: false; refusal: Json } {
  const no = (error: string, messages?: string[]) => ({
    ok: false as const,
    refusal: refuse(error, messages ? { response_metadata: { messages } } : {}),
  });
  const composed: Composed = {};
  if (args.text !== undefined && args.text !== null) {
    const text = asText(args.text);
    if (text.length > mostTextCharacters)
      core.warnings.push(`${name}: text of ${text.length} characters was cut at ${mostTextCharacters}`);
    composed.text = text.slice(0, mostTextCharacters);
  }
  if (args.blocks !== undefined && args.blocks !== null && args.blocks !== '') {
    const parsed = structured(args.blocks);
    if (!parsed.ok) return no('invalid_blocks_format');
    const problems = blockProblems('message', parsed.value);
    if (problems.length > 0) return no('invalid_blocks', problems);
    const characters = JSON.stringify(parsed.value).length;
    if (characters > mostBlockJsonCharacters)
      return no('msg_blocks_too_long', [`[ERROR] ${characters} characters of blocks`]);
    composed.blocks = withIds(parsed.value as Json[]);
    const missing = missingImage(core, composed.blocks);
    if (missing !== null) return no('invalid_blocks', [`[ERROR] slack_file ${missing} not found`]);
  }
  if (args.metadata !== undefined && args.metadata !== null && args.metadata !== '') {
    const parsed = structured(args.metadata);
    if (!parsed.ok) return no('invalid_metadata_format');
    const error = metadataProblem(parsed.value);
    if (error !== null) return no(error);
    if (Object.keys(parsed.value as Json).length > 0)
      composed.metadata = parsed.value as NonNullable<StoredMessage['metadata']>;
  }
  if (composed.blocks && composed.blocks.length > 0 && !composed.text)
    core.warnings.push(
      `${name}: blocks without top-level text; a screen reader and a locked phone say nothing`,
    );
  return { ok: true, composed };
}

function missingImage(core: PlatformCore, blocks: Json[]): string | null {
  for (const block of blocks) {
    const pictures = [block, ...((block.elements as Json[] | undefined) ?? []), block.accessory as Json];
    for (const picture of pictures) {
      const id = (picture?.slack_file as { id?: string } | undefined)?.id;
      if (id !== undefined && !core.workspace.files.has(id)) return id;
    }
  }
  return null;
}

const isPlain = (value: unknown) => ['string', 'number', 'boolean'].includes(typeof value);
const isFlat = (value: unknown): boolean =>
  isPlain(value) ||
  (value !== null &&
    typeof value === 'object' &&
    !Array.isArray(value) &&
    Object.values(value).every((inner) => isPlain(inner)));

function metadataProblem(metadata: unknown): string | null {
  if (metadata === null || typeof metadata !== 'object' || Array.isArray(metadata))
    return 'invalid_metadata_format';
  const { event_type: eventType, event_payload: payload } = metadata as Json;
  if (Object.keys(metadata).length === 0) return null;
  if (typeof eventType !== 'string' || payload === null || typeof payload !== 'object')
    return 'invalid_metadata_schema';
  const values = Object.values(payload as Json);
  const allowed = values.every((value) => isFlat(value) || (Array.isArray(value) && value.every(isFlat)));
  if (!allowed) return 'invalid_metadata_schema';
  return Buffer.byteLength(JSON.stringify(metadata)) > mostMetadataBytes ? 'metadata_too_large' : null;
}

/** A message from the bot, stamped with the next timestamp. */
export function botMessage(
  core: PlatformCore,
  composed: Composed,
  more: Partial<StoredMessage>,
): StoredMessage {
  const { app, team } = core.world;
  return {
    type: 'message',
    ts: core.workspace.nextTs(core.clock.now()),
    user: app.botUserId,
    team: team.id,
    bot_id: app.botId,
    app_id: app.id,
    text: composed.text ?? '',
    ...(composed.blocks ? { blocks: composed.blocks } : {}),
    ...(composed.metadata ? { metadata: composed.metadata } : {}),
    ...more,
  };
}
