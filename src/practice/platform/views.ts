import { randomBytes } from 'node:crypto';
import { drawnValues, type StateValues, withIds } from './block-ids.ts';
import type { Json } from './message.ts';
import type { PracticeWorld } from './world.ts';

/** The most modals on top of each other: a root and two pushed ones. */
export const mostStackedViews = 3;

/** A modal as one person has it open, or a home page. */
export interface OpenView {
  id: string;
  hash: string;
  userId: string;
  rootViewId: string;
  previousViewId: string | null;
  /** The view as the app gave it, with every block and element id filled in. */
  spec: Json;
  values: StateValues;
  /** Sentences beside inputs, by block id, from the last refused submission. */
  errors: Record<string, string>;
}

/** Everybody's modals and home pages. They do not outlive the process, as on the real platform a reload closes them. */
export class ViewBox {
  readonly #world: PracticeWorld;
  /** Called after every change. */
  readonly #changed: () => void;
  readonly #stacks = new Map<string, OpenView[]>();
  readonly #homes = new Map<string, OpenView>();
  #count = 0;

  constructor(world: PracticeWorld, changed: () => void) {
    this.#world = world;
    this.#changed = changed;
  }

  stack(userId: string): readonly OpenView[] {
    return this.#stacks.get(userId) ?? [];
  }

  top(userId: string): OpenView | undefined {
    return this.stack(userId).at(-1);
  }

  find(id: string): OpenView | undefined {
    return this.#all().find((view) => view.id === id);
  }

  byExternalId(externalId: string): OpenView | undefined {
    return this.#all().find((view) => view.spec.external_id === externalId);
  }

  home(userId: string): OpenView | undefined {
    return this.#homes.get(userId);
  }

  /** Opens a root view, in place of any the person had open. */
  open(userId: string, spec: Json): OpenView {
    const view = this.#make(userId, spec, undefined);
    this.#stacks.set(userId, [view]);
    this.#changed();
    return view;
  }

  /** Lays a view on top; null when three are open already. */
  push(userId: string, spec: Json): OpenView | null {
    const stack = this.stack(userId);
    if (stack.length >= mostStackedViews) return null;
    const view = this.#make(userId, spec, stack.at(-1));
    this.#stacks.set(userId, [...stack, view]);
    this.#changed();
    return view;
  }

  /** Draws other content in the same view; values with the same ids and type stay. */
  update(view: OpenView, spec: Json): void {
    view.spec = filled(spec);
    view.values = drawnValues(view.spec.blocks as Json[], view.values);
    view.errors = {};
    view.hash = freshHash();
    this.#changed();
  }

  pop(userId: string): OpenView | undefined {
    const closed = this.top(userId);
    this.#stacks.set(userId, this.stack(userId).slice(0, -1));
    this.#changed();
    return closed;
  }

  clear(userId: string): readonly OpenView[] {
    const closed = this.stack(userId);
    this.#stacks.delete(userId);
    this.#changed();
    return closed;
  }

  /** Closes everything of everybody. */
  clearAll(): void {
    this.#stacks.clear();
    this.#homes.clear();
    this.#changed();
  }

  publish(userId: string, spec: Json): OpenView {
    const before = this.home(userId);
    const drawn = this.#make(userId, spec, undefined);
    // A person has one home page for good; drawn anew it keeps its id.
    const view = before ? { ...drawn, id: before.id, rootViewId: before.id } : drawn;
    this.#homes.set(userId, view);
    this.#changed();
    return view;
  }

  /** The view with the keys the chat platform gives it in payloads and answers. */
  output(view: OpenView): Json {
    const { team, app } = this.#world;
    const { spec } = view;
    return {
      id: view.id,
      team_id: team.id,
      type: spec.type,
      blocks: spec.blocks,
      private_metadata: spec.private_metadata ?? '',
      callback_id: spec.callback_id ?? '',
      state: { values: view.values },
      hash: view.hash,
      title: spec.title ?? null,
      clear_on_close: spec.clear_on_close ?? false,
      notify_on_close: spec.notify_on_close ?? false,
      close: spec.close ?? null,
      submit: spec.submit ?? null,
      previous_view_id: view.previousViewId,
      root_view_id: view.rootViewId,
      app_id: app.id,
      external_id: spec.external_id ?? '',
      app_installed_team_id: team.id,
      bot_id: app.botId,
    };
  }

  #all(): OpenView[] {
    return [...[...this.#stacks.values()].flat(), ...this.#homes.values()];
  }

  #make(userId: string, given: Json, below: OpenView | undefined): OpenView {
    this.#count += 1;
    const id = `V${String(this.#count).padStart(9, '0')}`;
    const spec = filled(given);
    return {
      id,
      hash: freshHash(),
      userId,
      rootViewId: below?.rootViewId ?? id,
      previousViewId: below?.id ?? null,
      spec,
      values: drawnValues(spec.blocks as Json[]),
      errors: {},
    };
  }
}

const filled = (spec: Json): Json => ({ ...spec, blocks: withIds(spec.blocks as Json[]) });
const freshHash = () => `${Math.floor(Date.now() / 1000)}.${randomBytes(4).toString('hex')}`;
