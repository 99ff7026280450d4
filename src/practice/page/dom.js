/**
 * Makes an element. Properties beginning with `on` become listeners, `dataset` entries data attributes; everything
 * else an attribute, left out when null, undefined or false.
 */
export function h(tag, props = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(props)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith('on')) element.addEventListener(name.slice(2), value);
    else if (name === 'dataset') Object.assign(element.dataset, value);
    else if (name === 'value') element.value = value;
    else element.setAttribute(name, value === true ? '' : value);
  }
  element.append(
    ...children.flat(3).filter((child) => child !== null && child !== undefined && child !== false),
  );
  return element;
}

let count = 0;

/** A document-wide fresh id. */
export function freshId(prefix) {
  count += 1;
  return `${prefix}-${count}`;
}

/** Puts the focus back on what had it, by its `data-key`, after `holder` was drawn anew; on `fallback` otherwise. */
export function keepFocus(holder, draw, fallback) {
  const active = document.activeElement;
  const had = active && holder.contains(active) && active !== holder;
  const key = had ? active.dataset.key : undefined;
  const selection =
    had && typeof active.selectionStart === 'number' ? [active.selectionStart, active.selectionEnd] : null;
  draw();
  if (!had) return;
  const again = key === undefined ? null : holder.querySelector(`[data-key="${CSS.escape(key)}"]`);
  const target = again ?? fallback();
  target?.focus({ preventScroll: true });
  if (again && selection && typeof again.setSelectionRange === 'function')
    again.setSelectionRange(...selection);
}
