import type { ModalView } from '@slack/web-api';
import { drawnValues, placedElements } from '../../../src/practice/platform/block-ids.ts';
import { chosenValue, inputProblem, type RawValue } from '../../../src/practice/platform/element-values.ts';
import type { Json } from '../../../src/practice/platform/message.ts';
import { viewRefusal } from '../../../src/practice/platform/view-limits.ts';

/** The `view` of a submission after a person opened the form and put `raw` into it, by block id. */
export function filledForm(view: ModalView, raw: Record<string, RawValue> = {}) {
  const refusal = viewRefusal(view);
  if (refusal) throw new Error(`the platform would not show this form: ${JSON.stringify(refusal)}`);
  const blocks = view.blocks as unknown as Json[];
  const values = drawnValues(blocks);
  for (const [id, value] of Object.entries(raw)) {
    const placed = placedElements(blocks).find(({ block }) => block.block_id === id);
    if (!placed) throw new Error(`the form has no input ${id}`);
    values[id] = { [id]: chosenValue(placed.element, value, () => ({})) };
  }
  return {
    type: 'modal',
    callback_id: view.callback_id,
    private_metadata: view.private_metadata,
    state: { values },
  };
}

/** The form with every input that was left empty not sent at all, as some clients do. */
export function withoutEmpty(form: ReturnType<typeof filledForm>) {
  const isEmpty = (value: Json) =>
    Object.entries(value).every(
      ([key, held]) => key === 'type' || held === null || (Array.isArray(held) && held.length === 0),
    );
  const kept = Object.entries(form.state.values).filter(
    ([, actions]) => !Object.values(actions).every(isEmpty),
  );
  return { ...form, state: { values: Object.fromEntries(kept) } };
}

/** What the chat client itself would object to before sending, by block id. */
export function clientObjections(
  view: ModalView,
  form: ReturnType<typeof filledForm>,
): Record<string, string> {
  return Object.fromEntries(
    placedElements(view.blocks as unknown as Json[]).flatMap(({ block, element }) => {
      if (block.type !== 'input') return [];
      const id = String(block.block_id);
      const problem = inputProblem(element, block.optional === true, form.state.values[id]?.[id] ?? {});
      return problem === null ? [] : [[id, problem]];
    }),
  );
}

/** The block ids of a form's inputs, in order. */
export function inputIds(view: ModalView): string[] {
  return placedElements(view.blocks as unknown as Json[]).map(({ block }) => String(block.block_id));
}

/** Names that have broken forms before: mentions, marks, direction, emoji, length. */
export const hostileNames: readonly string[] = [
  '<!channel>',
  '<@U0NURSE> & *bold*',
  '&amp;&lt;!here&gt;',
  ':skull: `x`',
  `Ź${'\u0301'.repeat(3)}algo`,
  '👩‍👩‍👧‍👦👩‍👩‍👧‍👦👩‍👩‍👧‍👦',
  'كلب صغير جدا جدا جدا',
  'x'.repeat(40),
  '&'.repeat(40),
];

/** What each input of a form is drawn as, in order: `reason static_select`. */
export function inputTypes(view: ModalView): string[] {
  return placedElements(view.blocks as unknown as Json[]).map(
    ({ block, element }) => `${String(block.block_id)} ${String(element.type)}`,
  );
}
