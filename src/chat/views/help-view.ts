import type { Form } from '../form.ts';
import type { Part } from '../parts.ts';

/** Help as a page of the menu: the list (`help`) or one verb's screen (`learn`). */
export function helpView(page: 'help' | 'learn', title: string, parts: readonly Part[]): Form {
  return { id: page, title, close: 'Back', meta: '', parts };
}
