import type { ModalView } from '@slack/web-api';
import type { Form, Sent } from '../../../src/chat/form.ts';
import { drawnValues, placedElements } from '../../../src/practice/platform/block-ids.ts';
import { chosenValue, inputProblem, type RawValue } from '../../../src/practice/platform/element-values.ts';
import type { Json } from '../../../src/practice/platform/message.ts';
import { viewRefusal } from '../../../src/practice/platform/view-limits.ts';
import { sentView } from '../../../src/slack/render/sent-view.ts';
import { drawnView } from '../../../src/slack/render/view.ts';

/** A form as it came back from the platform, and the view it came in. */
export interface Filled extends Sent {
  view: ModalView & { state: { values: Record<string, Record<string, Json>> } };
}

/** A form with the blocks that the platform shows of it. */
export type Shown = Form & Required<Pick<ModalView, 'blocks' | 'callback_id' | 'private_metadata'>>;

export function shown<F extends Form | null>(form: F): F extends Form ? Shown : null {
  return (form && { ...drawnView(form), ...form }) as unknown as F extends Form ? Shown : null;
}

/** Why the platform would not show a form; null where it would. */
export function refusalOf(form: Form): ReturnType<typeof viewRefusal> {
  return viewRefusal(drawnView(form) as unknown as Json);
}

/** What is sent after a person opened the form and put `raw` into it, by question. */
export function filledForm(form: Form, raw: Record<string, RawValue> = {}): Filled {
  const view = drawnView(form);
  const refusal = refusalOf(form);
  if (refusal) throw new Error(`the platform would not show this form: ${JSON.stringify(refusal)}`);
  const blocks = view.blocks as unknown as Json[];
  const values = drawnValues(blocks);
  for (const [id, value] of Object.entries(raw)) {
    const placed = placedElements(blocks).find(({ block }) => block.block_id === id);
    if (!placed) throw new Error(`the form has no input ${id}`);
    values[id] = { [id]: chosenValue(placed.element, value, () => ({})) };
  }
  return sentWith(view, values);
}

function sentWith(view: ModalView, values: Record<string, Record<string, Json>>): Filled {
  const submitted = { ...view, state: { values } };
  const sent = sentView(submitted);
  if (!sent) throw new Error('the submission could not be read');
  return { ...sent, view: submitted };
}

/** The form with every input that was left empty not sent at all, as some clients do. */
export function withoutEmpty({ view }: Filled): Filled {
  const isEmpty = (value: Json) =>
    Object.entries(value).every(
      ([key, held]) => key === 'type' || held === null || (Array.isArray(held) && held.length === 0),
    );
  const kept = Object.entries(view.state.values).filter(
    ([, actions]) => !Object.values(actions).every(isEmpty),
  );
  return sentWith(view, Object.fromEntries(kept));
}

/** What the chat client itself would object to before sending, by question. */
export function clientObjections(form: Form, filled: Filled): Record<string, string> {
  return Object.fromEntries(
    placedElements(drawnView(form).blocks as unknown as Json[]).flatMap(({ block, element }) => {
      if (block.type !== 'input') return [];
      const id = String(block.block_id);
      const problem = inputProblem(
        element,
        block.optional === true,
        filled.view.state.values[id]?.[id] ?? {},
      );
      return problem === null ? [] : [[id, problem]];
    }),
  );
}

/** The ids of a form's inputs, in order. */
export function inputIds(form: Form): string[] {
  return placedElements(drawnView(form).blocks as unknown as Json[]).map(({ block }) =>
    String(block.block_id),
  );
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
export function inputTypes(form: Form): string[] {
  return placedElements(drawnView(form).blocks as unknown as Json[]).map(
    ({ block, element }) => `${String(block.block_id)} ${String(element.type)}`,
  );
}
