import type { LineState } from '../../domain/record/line-state.ts';
import { type ActionValue, actionValue } from '../action-value.ts';
import type { ButtonOf } from '../parts.ts';

/** What a button of a line carries besides the line, and what a screen reader says of it after the patient’s name. */
export interface OfLine extends Omit<ActionValue, 'w' | 'l'> {
  label?: string;
  primary?: boolean;
}

/** A button of one line. A screen reader hears the patient first, since many lines have the same button. */
export type LineButton = (action: string, text: string, of?: OfLine) => ButtonOf;

/** Makes the buttons of one line. */
export function buttonsOf(wardId: string, line: LineState): LineButton {
  return (action, text, { label = text, primary, ...carried } = {}) => ({
    action,
    text,
    value: actionValue({ w: wardId, l: line.id, ...carried }),
    ...(primary ? { primary } : {}),
    label: `${line.patient.name}: ${label}`,
  });
}
