type Listeners = {
  [Name in keyof HTMLElementEventMap as `on${Name}`]?: (event: HTMLElementEventMap[Name]) => unknown;
};
type AttributeName =
  | `aria-${string}`
  | `data-${string}`
  | 'accept'
  | 'alt'
  | 'autocapitalize'
  | 'autocomplete'
  | 'checked'
  | 'class'
  | 'datetime'
  | 'download'
  | 'for'
  | 'form'
  | 'hidden'
  | 'href'
  | 'id'
  | 'inputmode'
  | 'label'
  | 'loading'
  | 'multiple'
  | 'name'
  | 'novalidate'
  | 'placeholder'
  | 'rel'
  | 'role'
  | 'rows'
  | 'scope'
  | 'selected'
  | 'spellcheck'
  | 'src'
  | 'tabindex'
  | 'target'
  | 'title'
  | 'type'
  | 'value';
/** Attributes, left out when null, undefined or false, and listeners, `on` before the event's name. */
export type Props = Listeners & { [Name in AttributeName]?: string | number | boolean | null | undefined };
/** What may stand inside an element; null, undefined and false stand for nothing. */
export type Child = Node | string | null | undefined | false | readonly Child[];

function nodesOf(child: Child): (Node | string)[] {
  if (child === null || child === undefined || child === false) return [];
  return typeof child === 'string' || child instanceof Node ? [child] : child.flatMap(nodesOf);
}

/** Makes an element. */
export function h<Tag extends keyof HTMLElementTagNameMap>(
  tag: Tag,
  props: Props = {},
  ...children: Child[]
): HTMLElementTagNameMap[Tag] {
  const element = document.createElement(tag);
  const entries: [string, unknown][] = Object.entries(props);
  for (const [name, value] of entries) {
    if (typeof value === 'function') element.addEventListener(name.slice(2), (event) => void value(event));
    else if (value === true) element.setAttribute(name, '');
    else if (typeof value === 'string' || typeof value === 'number') element.setAttribute(name, `${value}`);
  }
  element.append(...nodesOf(children));
  return element;
}

/** A key to press. */
export const key = (words: Child, onclick: () => unknown, props: Props = {}): HTMLButtonElement =>
  h('button', { type: 'button', class: 'key', onclick, ...props }, words);

/** The element at `selector`. @throws when there is none of that kind. */
export function need<Kind extends Element>(
  selector: string,
  kind: new () => Kind,
  within: ParentNode = document,
): Kind {
  const found = within.querySelector(selector);
  if (!(found instanceof kind)) throw new Error(`There is no ${kind.name} at ${selector}.`);
  return found;
}

/** Puts the focus on an element, if it is one that can have it. */
export function focusOn(element: Element | null | undefined, options?: FocusOptions): void {
  if (element instanceof HTMLElement) element.focus(options);
}

/** True while a control waits for what it began. */
export const isBusy = (control: Element): boolean => control.getAttribute('aria-disabled') === 'true';

/** Runs `task` unless the control is busy; meanwhile it is. */
export async function busyWith<Result>(
  control: Element,
  task: () => Promise<Result>,
): Promise<Result | undefined> {
  if (isBusy(control)) return undefined;
  control.setAttribute('aria-disabled', 'true');
  try {
    return await task();
  } finally {
    control.removeAttribute('aria-disabled');
  }
}

let count = 0;

/** A document-wide fresh id. */
export function freshId(prefix: string): string {
  count += 1;
  return `${prefix}-${count}`;
}

const isTyped = (element: Element | null) =>
  element instanceof HTMLInputElement || element instanceof HTMLTextAreaElement;

/** Puts the focus back on what had it, by its `data-key`, after `holder` was drawn anew; on `fallback` otherwise. */
export function keepFocus(holder: Element, draw: () => void, fallback: () => Element | null): void {
  const active = document.activeElement;
  const had = active instanceof HTMLElement && active !== holder && holder.contains(active) ? active : null;
  const name = had?.dataset.key;
  const [from, to] = isTyped(had) ? [had.selectionStart, had.selectionEnd] : [null, null];
  draw();
  if (!had) return;
  const again = name === undefined ? null : holder.querySelector(`[data-key="${CSS.escape(name)}"]`);
  focusOn(again ?? fallback(), { preventScroll: true });
  if (from !== null && isTyped(again)) again.setSelectionRange(from, to);
}
