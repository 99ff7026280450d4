import { expect } from 'vitest';
import { actionValueSchema } from '../../src/chat/action-value.ts';
import { dutyKinds } from '../../src/domain/duty-kind.ts';
import type { Json } from '../../src/practice/platform/message.ts';
import type { Platform } from '../../src/practice/platform/platform.ts';
import { dutyName } from '../../src/wording/care/duty-words.ts';
import { buttonsIn } from './bot-on-platform.ts';

/** Kinds of message and beginnings of action ids, as the product page fixes them for the world outside. */
const kinds = ['card', 'nudge', 'escalation', 'handover', 'report', 'notice'];
const verbs = /^(done|earlier|later|cannot|claim|accept|open)(:|$)/;
const dutyNames = dutyKinds.map((kind) => dutyName(kind));
const inputs = ['input'];
/** Nothing that it doesn’t name. Made once: each schema compiles a parser of its own. */
const wholeActionValue = actionValueSchema.strict();

/**
 * Everything the bot ever said on this platform, held to what stays fixed from outside. `names`: patients of the ward,
 * which may stand in words and nowhere else.
 */
export function expectWireContract(platform: Platform, names: readonly string[]): void {
  for (const { method, args, ok, error } of platform.calls) {
    if (method.startsWith('views.') && ok) expectView(parsed(args.view) as Json, names);
    if (!/^chat\.(postMessage|update|postEphemeral)$/.test(method)) continue;
    expect(error ?? 'accepted', `${method} of ${String(args.text).slice(0, 80)}`).not.toMatch(
      /block|too_long|invalid/,
    );
    const blocks = (parsed(args.blocks) ?? []) as Json[];
    expectButtons(blocks, names);
    expectWholeText(String(args.text), blocks, names);
    if (method !== 'chat.postEphemeral' && args.metadata !== undefined)
      expectMetadata(parsed(args.metadata) as Json, names);
    // What is said to one person in a hurry, outside the outbox, has no key to be found by.
    if (method === 'chat.update') expect(args.metadata, String(args.text)).toBeDefined();
  }
  for (const { text, blocks } of platform.world.users.flatMap(({ id }) => platform.ephemerals(id))) {
    expectButtons(blocks ?? [], names);
    expectWholeText(text, blocks ?? [], names);
  }
  for (const { text, metadata, blocks, user, files } of platform.messages(platform.world.wardChannelId)) {
    // The platform takes no metadata with a scheduled message or a shared file; people's own messages are theirs.
    const isBare = text.startsWith('REMINDERS MAY BE DOWN') || (files ?? []).length > 0;
    if (isBare || user !== platform.world.app.botUserId) continue;
    expect(metadata, text).toBeDefined();
    expect(blocks?.length, text).toBeGreaterThan(0);
  }
}

function expectMetadata({ event_type, event_payload }: Json, names: readonly string[]): void {
  expect(event_type).toBe('dicrotic_post');
  const payload = event_payload as Json;
  expect(Object.keys(payload).toSorted()).toEqual(['key', 'kind', 'lines', 'ward']);
  expect(kinds).toContain(payload.kind);
  expect(payload.ward).toMatch(/^T\w+\.C\w+$/);
  for (const id of payload.lines as unknown[]) expect(id).toMatch(/^[0-9a-f]{10}$/);
  expectIdsOnly(JSON.stringify(event_payload), names);
}

function expectButtons(blocks: readonly Json[], names: readonly string[]): void {
  for (const { action_id, value } of buttonsIn(blocks)) {
    expect(action_id).toMatch(verbs);
    expect(wholeActionValue.safeParse(JSON.parse(String(value))).error).toBeUndefined();
    expectIdsOnly(String(value), names);
    expectIdsOnly(String(action_id), names);
  }
}

function expectView(view: Json, names: readonly string[]): void {
  const blocks = view.blocks as Json[];
  expectButtons(blocks, names);
  expectIdsOnly(JSON.stringify(view.private_metadata ?? ''), names);
  if (blocks.some(({ type }) => inputs.includes(String(type)))) expect(view.submit).toBeDefined();
}

function expectIdsOnly(carried: string, names: readonly string[]): void {
  for (const name of names) expect(carried).not.toContain(name);
  expect(carried).not.toMatch(/ kg|Brandvold|Aaltola|Marchetti/);
}

/** Every duty, time of day, patient, mention and number with a unit that is drawn is also in the text. */
function expectWholeText(text: string, blocks: readonly Json[], names: readonly string[]): void {
  const drawn = blocks
    .flatMap((block) => [
      (block.text as Json | undefined)?.text,
      ...(block.type === 'context' ? (block.elements as Json[]).map((element) => element.text) : []),
    ])
    .filter((words) => typeof words === 'string')
    .join('\n');
  const spoken = text.toLowerCase();
  const lower = drawn.toLowerCase();
  for (const words of [...dutyNames, ...names.map((name) => name.toLowerCase())]) {
    if (lower.includes(words)) expect(spoken, `text of: ${drawn}`).toContain(words);
  }
  for (const [figure] of drawn.matchAll(/\b\d\d:\d\d\b|<[@#!][^>]+>|\b[\d.]+ (?:min|h|mL|mmHg|kg|G)\b/g)) {
    expect(text, `text of: ${drawn}`).toContain(figure);
  }
  if (drawn.includes('not a monitor')) expect(text).toContain('not a monitor');
}

function parsed(value: unknown): unknown {
  return typeof value === 'string' && value !== '' ? JSON.parse(value) : value;
}
