import { type Form, type FormErrors } from '../form.ts';
import { type StaleForm } from '../forms/view-state.ts';

/**
 * What a form came to: `wrong` keeps it open with what was typed; `next` goes on to another, on top of it or in its place;
 * `done` closes it and says the rest afterwards.
 */
export type Result =
  | { is: 'wrong'; errors: FormErrors }
  | { is: 'wrong as a whole'; message: string }
  | { is: 'next'; form: Form; where: 'on top' | 'in its place' }
  | { is: 'done'; afterwards: () => Promise<void> };

/** A form that recorded nothing: what is wrong in it, or that it is none of ours. */
export function notRecorded(read: { is: 'wrong'; errors: FormErrors } | StaleForm): Result {
  if (read.is === 'wrong') return read;
  return {
    is: 'wrong as a whole',
    message: 'This form is from an older version. Close it and open it again; nothing was recorded.',
  };
}
