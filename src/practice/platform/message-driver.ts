import { drawnValues, hold, type PlacedElement, placedElements, type StateValues } from './block-ids.ts';
import type { PlatformCore } from './core.ts';
import type { Delivery } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import { chosenValue, holdsValue, type RawValue } from './element-values.ts';
import { escapeCommandText } from './escape.ts';
import { uploadedFile } from './file-methods.ts';
import type { Json, StoredMessage } from './message.ts';
import { actionTs, type Claim, messageActionPayload, slashPayload, viewActionPayload } from './payloads.ts';
import { person, placeOf } from './people.ts';
import { applyResponse } from './responses.ts';
import type { WorldUser } from './world.ts';

/** A slash command as a person types it. */
export interface SlashCommand {
  /** User id or handle. */
  user: string;
  /** Channel id; the ward's channel unless given. */
  channel?: string;
  /** What follows the command. */
  text?: string;
  command?: string;
  /** Claims another workspace, for hostile tests. */
  team?: string;
  /** Typed in a channel they only look at, for hostile tests. */
  lookingIn?: boolean;
}

/** A press of a button, or a choice in a menu or picker, in a message or an open form. */
export interface Press {
  user: string;
  channel?: string | undefined;
  messageTs?: string | undefined;
  viewId?: string | undefined;
  actionId: string;
  /** Needed when the same action id stands in several blocks. */
  blockId?: string;
  /** The button's value, to tell buttons with the same action id apart. */
  value?: string;
  /** For menus and pickers: what was chosen. */
  selected?: RawValue | undefined;
  /** Blocks of an older rendition of the message, still on somebody's screen. */
  stale?: Json[];
  /** Claims another workspace or channel, for hostile tests. */
  as?: Claim;
}

function pick(blocks: readonly Json[], press: Press): PlacedElement {
  const candidates = placedElements(blocks).filter(
    ({ block, element }) =>
      element.action_id === press.actionId &&
      (press.blockId === undefined || block.block_id === press.blockId) &&
      (press.value === undefined || element.value === press.value),
  );
  const [found, other] = candidates;
  const present = placedElements(blocks).map(({ element }) => String(element.action_id));
  if (!found)
    throw new Error(
      `There is no '${press.actionId}' here to press; there is ${present.join(', ') || 'nothing'}.`,
    );
  if (other)
    throw new Error(
      `'${press.actionId}' stands here ${candidates.length} times; say which by blockId or value.`,
    );
  return found;
}

function actionOf(core: PlatformCore, { block, element }: PlacedElement, press: Press): Json {
  const base = {
    type: element.type,
    block_id: block.block_id,
    action_id: element.action_id,
    action_ts: actionTs(core),
  };
  if (element.type === 'button') {
    const { text, value, style, url } = element;
    return {
      ...base,
      text,
      ...(value === undefined ? {} : { value }),
      ...(style === undefined ? {} : { style }),
      ...(url === undefined ? {} : { url }),
    };
  }
  if (press.selected === undefined)
    throw new Error(`'${press.actionId}' is a ${String(element.type)}; say what is chosen.`);
  return { ...base, ...chosenValue(element, press.selected, (id) => uploadedFile(core, id)) };
}

const stateValueOf = (action: Json): Json =>
  Object.fromEntries(
    Object.entries(action).filter(([key]) => !['block_id', 'action_id', 'action_ts'].includes(key)),
  );

/** The message a press is in, as the person has it before them. @throws when they have none such. */
function pressedMessage(core: PlatformCore, user: WorldUser, press: Press) {
  const ts = String(press.messageTs);
  const ephemeral = core.ephemerals.find((message) => message.ts === ts && message.reader === user.id);
  const channel =
    ephemeral?.channel ??
    press.channel ??
    [...core.workspace.conversations.values()].find((conversation) =>
      conversation.messages.some((message) => message.ts === ts),
    )?.id;
  const conversation = core.workspace.conversation(channel ?? '');
  const message: StoredMessage | undefined =
    ephemeral ?? (conversation && core.workspace.message(conversation.id, ts));
  if (!conversation || !message) throw new Error(`There is no message ${ts} to press in.`);
  if (!press.as) placeOf(core, user, conversation.id);
  return { conversation, message, isEphemeral: ephemeral !== undefined };
}

async function pressInView(
  core: PlatformCore,
  desk: DeliveryDesk,
  user: WorldUser,
  press: Press,
): Promise<Delivery> {
  const view = core.views.find(String(press.viewId));
  if (!view || view.userId !== user.id) throw new Error(`${user.handle} has no form ${press.viewId} open.`);
  const placed = pick(view.spec.blocks as Json[], press);
  const action = actionOf(core, placed, press);
  if (holdsValue(placed.element)) hold(view.values, placed, stateValueOf(action));
  const triggerId = core.triggers.issue({ userId: user.id, viewId: view.id });
  return desk.send(
    'interactive',
    viewActionPayload(core, user, view, { action, triggerId, claim: press.as ?? {} }),
  );
}

/** Commands typed and elements pressed. */
export interface MessageDriver {
  slash(command: SlashCommand): Promise<Delivery>;
  press(press: Press): Promise<Delivery>;
}

/** Drives slash commands and presses as people would. */
export function messageDriver(core: PlatformCore, desk: DeliveryDesk): MessageDriver {
  // What each person has chosen in a message's menus stays on that person's screen.
  const chosen = new Map<string, StateValues>();

  return {
    async slash(typed) {
      const user = person(core, typed.user);
      const conversation = placeOf(core, user, typed.channel, typed.lookingIn);
      const target = { channel: conversation.id, userId: user.id };
      const payload = slashPayload(core, user, conversation, {
        command: typed.command ?? core.world.command,
        text: escapeCommandText(core.world, typed.text ?? '').trim(),
        triggerId: core.triggers.issue({ userId: user.id }),
        responseUrl: core.responseUrls.issue(target),
        claim: typed.team === undefined ? {} : { team: typed.team },
      });
      const delivery = await desk.sendFor('slash_commands', payload, conversation.id, user.id);
      if (delivery.body.text !== undefined || delivery.body.blocks !== undefined) {
        const result = applyResponse(core, target, delivery.body);
        if (result.ok !== true) core.warnings.push(`command answer refused: ${JSON.stringify(result)}`);
      }
      return delivery;
    },
    async press(press) {
      const user = person(core, press.user);
      if (press.viewId !== undefined) return pressInView(core, desk, user, press);
      const { conversation, message, isEphemeral } = pressedMessage(core, user, press);
      const blocks = press.stale ?? message.blocks ?? [];
      const placed = pick(blocks, press);
      const action = actionOf(core, placed, press);
      const key = `${user.id} ${message.ts}`;
      const values = drawnValues(blocks, chosen.get(key));
      if (holdsValue(placed.element)) hold(values, placed, stateValueOf(action));
      chosen.set(key, values);
      const payload = messageActionPayload(core, user, conversation, {
        message: press.stale ? { ...message, blocks: press.stale } : message,
        isEphemeral,
        action,
        values,
        triggerId: core.triggers.issue({ userId: user.id }),
        responseUrl: core.responseUrls.issue({
          channel: conversation.id,
          userId: user.id,
          messageTs: message.ts,
          ...(message.thread_ts === undefined ? {} : { threadTs: message.thread_ts }),
        }),
        claim: press.as ?? {},
      });
      return desk.sendFor('interactive', payload, conversation.id, user.id);
    },
  };
}
