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
export interface ViewBox {
  stack(userId: string): readonly OpenView[];
  top(userId: string): OpenView | undefined;
  find(id: string): OpenView | undefined;
  byExternalId(externalId: string): OpenView | undefined;
  /** Opens a root view, in place of any the person had open. */
  open(userId: string, spec: Json): OpenView;
  /** Lays a view on top; null when three are open already. */
  push(userId: string, spec: Json): OpenView | null;
  /** Draws other content in the same view; values with the same ids and type stay. */
  update(view: OpenView, spec: Json): void;
  pop(userId: string): OpenView | undefined;
  clear(userId: string): OpenView[];
  /** Closes everything of everybody. */
  clearAll(): void;
  home(userId: string): OpenView | undefined;
  publish(userId: string, spec: Json): OpenView;
  /** The view with the keys the chat platform gives it in payloads and answers. */
  output(view: OpenView): Json;
}

/** An empty view box; `changed` is called after every change. */
export function viewBox(world: PracticeWorld, changed: () => void): ViewBox {
  const stacks = new Map<string, OpenView[]>();
  const homes = new Map<string, OpenView>();
  let count = 0;
  const freshHash = () => `${Math.floor(Date.now() / 1000)}.${randomBytes(4).toString('hex')}`;
  const fill = (spec: Json): Json => ({ ...spec, blocks: withIds(spec.blocks as Json[]) });
  const make = (userId: string, spec: Json, below: OpenView | undefined): OpenView => {
    count += 1;
    const id = `V${String(count).padStart(9, '0')}`;
    const filled = fill(spec);
    return {
      id,
      hash: freshHash(),
      userId,
      rootViewId: below?.rootViewId ?? id,
      previousViewId: below?.id ?? null,
      spec: filled,
      values: drawnValues(filled.blocks as Json[]),
      errors: {},
    };
  };
  const stackOf = (userId: string) => stacks.get(userId) ?? [];
  const all = () => [...[...stacks.values()].flat(), ...homes.values()];
  return {
    stack: stackOf,
    top: (userId) => stackOf(userId).at(-1),
    find: (id) => all().find((view) => view.id === id),
    byExternalId: (externalId) => all().find((view) => view.spec.external_id === externalId),
    open(userId, spec) {
      const view = make(userId, spec, undefined);
      stacks.set(userId, [view]);
      changed();
      return view;
    },
    push(userId, spec) {
      const stack = stackOf(userId);
      if (stack.length >= mostStackedViews) return null;
      const view = make(userId, spec, stack.at(-1));
      stacks.set(userId, [...stack, view]);
      changed();
      return view;
    },
    update(view, spec) {
      view.spec = fill(spec);
      view.values = drawnValues(view.spec.blocks as Json[], view.values);
      view.errors = {};
      view.hash = freshHash();
      changed();
    },
    pop(userId) {
      const closed = stackOf(userId).at(-1);
      stacks.set(userId, stackOf(userId).slice(0, -1));
      changed();
      return closed;
    },
    clear(userId) {
      const closed = [...stackOf(userId)];
      stacks.delete(userId);
      changed();
      return closed;
    },
    clearAll() {
      stacks.clear();
      homes.clear();
      changed();
    },
    home: (userId) => homes.get(userId),
    publish(userId, spec) {
      const before = homes.get(userId);
      const drawn = make(userId, spec, undefined);
      // A person has one home page for good; drawn anew it keeps its id.
      const view = before ? { ...drawn, id: before.id, rootViewId: before.id } : drawn;
      homes.set(userId, view);
      changed();
      return view;
    },
    output: (view) => ({
      id: view.id,
      team_id: world.team.id,
      type: view.spec.type,
      blocks: view.spec.blocks,
      private_metadata: view.spec.private_metadata ?? '',
      callback_id: view.spec.callback_id ?? '',
      state: { values: view.values },
      hash: view.hash,
      title: view.spec.title ?? null,
      clear_on_close: view.spec.clear_on_close ?? false,
      notify_on_close: view.spec.notify_on_close ?? false,
      close: view.spec.close ?? null,
      submit: view.spec.submit ?? null,
      previous_view_id: view.previousViewId,
      root_view_id: view.rootViewId,
      app_id: world.app.id,
      external_id: view.spec.external_id ?? '',
      app_installed_team_id: world.team.id,
      bot_id: world.app.botId,
    }),
  };
}
