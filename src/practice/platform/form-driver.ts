import { hold, type PlacedElement, placedElements } from './block-ids.ts';
import type { PlatformCore } from './core.ts';
import type { Delivery } from './delivery.ts';
import type { DeliveryDesk } from './delivery-desk.ts';
import { chosenValue, inputProblem, type RawValue } from './element-values.ts';
import { uploadedFile } from './file-methods.ts';
import type { Json } from './message.ts';
import { closedPayload, submissionPayload } from './payloads.ts';
import { person } from './people.ts';
import { viewRefusal } from './view-limits.ts';
import type { OpenView } from './views.ts';

/** What became of a form that was sent. */
export interface Submission extends Delivery {
  /** Sentences beside inputs, by block id, from the client's own checks or from the app. */
  errors: Record<string, string>;
  /** True when the form was closed or replaced, false when it still stands as it was. */
  accepted: boolean;
}

export type FormDriver = ReturnType<typeof formDriver>;

/** The errors the chat client itself shows before anything is sent. */
function clientErrors(view: OpenView): Record<string, string> {
  const errors: Record<string, string> = {};
  for (const { block, element } of placedElements(view.spec.blocks as Json[])) {
    if (block.type !== 'input') continue;
    const blockId = String(block.block_id);
    const value = view.values[blockId]?.[String(element.action_id)] ?? {};
    const problem = inputProblem(element, block.optional === true, value);
    if (problem !== null) errors[blockId] = problem;
  }
  return errors;
}

/** The view an answer brings along; null, with a warning, where the platform would not show it. */
function shownView(core: PlatformCore, action: string, spec: unknown): Json | null {
  const refusal = viewRefusal(spec);
  if (refusal)
    core.warnings.push(`response_action ${action}: ${refusal.error} ${refusal.messages.join(' ')}`);
  return refusal ? null : (spec as Json);
}

/** Does what the app answered; true when the form was accepted, else the errors it showed. */
function follow(core: PlatformCore, view: OpenView, body: Json): true | Record<string, string> {
  switch (body.response_action) {
    case 'errors': {
      const errors = (body.errors ?? {}) as Record<string, string>;
      const blockIds = new Set((view.spec.blocks as Json[]).map((block) => block.block_id));
      for (const blockId of Object.keys(errors))
        if (!blockIds.has(blockId))
          core.warnings.push(`response_action errors names block '${blockId}', which the form does not have`);
      return errors;
    }
    case 'update': {
      const spec = shownView(core, 'update', body.view);
      if (spec) core.views.update(view, spec);
      return spec ? true : {};
    }
    case 'push': {
      const spec = shownView(core, 'push', body.view);
      if (spec && core.views.push(view.userId, spec)) return true;
      if (spec) core.warnings.push('response_action push: push_limit_reached');
      return {};
    }
    case 'clear':
      core.views.clear(view.userId);
      return true;
    case undefined:
      if (core.views.top(view.userId)?.id === view.id) core.views.pop(view.userId);
      return true;
    default:
      core.warnings.push(`unknown response_action '${String(body.response_action)}'`);
      return {};
  }
}

/** The input of that name: `block/action`, or the action's or the block's alone. @throws when there is none. */
function inputOf(view: OpenView, name: string): PlacedElement {
  const placed = placedElements(view.spec.blocks as Json[]);
  const found =
    placed.find(({ block, element }) => `${String(block.block_id)}/${String(element.action_id)}` === name) ??
    placed.find(({ element }) => element.action_id === name) ??
    placed.find(({ block }) => block.block_id === name);
  if (!found)
    throw new Error(
      `The form has no input '${name}'; it has ${placed.map(({ element }) => String(element.action_id)).join(', ')}.`,
    );
  return found;
}

/** Filling in, sending and closing forms. */
export function formDriver(core: PlatformCore, desk: DeliveryDesk) {
  const need = (viewId: string): OpenView => {
    const view = core.views.find(viewId);
    if (!view) throw new Error(`No form ${viewId} is open.`);
    return view;
  };
  const owned = (userIdOrHandle: string, viewId: string) => {
    const user = person(core, userIdOrHandle);
    const view = need(viewId);
    if (view.userId !== user.id) throw new Error(`${user.handle} has no form ${viewId} open.`);
    return { user, view };
  };

  return {
    /** Puts values into an open form's inputs, each named as `inputOf` takes it. @throws on a value not offered. */
    async fill(viewId: string, values: Record<string, RawValue>): Promise<void> {
      const view = need(viewId);
      for (const [name, raw] of Object.entries(values)) {
        const placed = inputOf(view, name);
        hold(
          view.values,
          placed,
          chosenValue(placed.element, raw, (id) => uploadedFile(core, id)),
        );
      }
    },
    async submit(given: { user: string; viewId: string; team?: string }): Promise<Submission> {
      const { viewId, team } = given;
      const { user, view } = owned(given.user, viewId);
      if (core.views.top(user.id)?.id !== viewId) throw new Error(`Form ${viewId} lies under another one.`);
      if (view.spec.submit === undefined) throw new Error(`Form ${viewId} has nothing to send it with.`);
      const early = clientErrors(view);
      view.errors = early;
      core.changed();
      if (Object.keys(early).length > 0)
        return { acked: false, ackMs: 0, body: {}, errors: early, accepted: false };
      const triggerId = core.triggers.issue({ userId: user.id, viewId });
      const claim = team === undefined ? {} : { team };
      const delivery = await desk.send('interactive', submissionPayload(core, user, view, triggerId, claim));
      if (!delivery.acked) return { ...delivery, errors: {}, accepted: false };
      const followed = follow(core, view, delivery.body);
      view.errors = followed === true ? {} : followed;
      core.changed();
      return { ...delivery, errors: followed === true ? {} : followed, accepted: followed === true };
    },
    /** Closes one form, or with `all` the whole stack. */
    async close(given: { user: string; viewId: string; all?: boolean | undefined }): Promise<void> {
      const { user, view } = owned(given.user, given.viewId);
      const clears = given.all === true || view.spec.clear_on_close === true;
      const popped = clears ? core.views.clear(user.id) : [core.views.pop(user.id)];
      for (const closed of popped)
        if (closed?.spec.notify_on_close === true)
          await desk.send('interactive', closedPayload(core, user, closed, clears));
    },
  };
}
