import type { LineState } from '../../domain/record/line-state.ts';
import { animalWords, placeWords, standingCaution } from '../../wording/care/line-words.ts';
import { rich } from '../../wording/rich-text.ts';
import type { Form } from '../form.ts';
import { type Part, type SmallPrint, smallPrint } from '../parts.ts';

/** Which line a form is about: patient, animal, site. */
export function lineRemark(line: LineState): SmallPrint {
  return smallPrint(rich`*${line.patient.name}* · ${animalWords(line)} · ${placeWords(line)}`);
}

/** A form with its standing caution at the end. */
export function formAbout(form: Omit<Form, 'close' | 'parts'> & { parts: readonly Part[] }): Form {
  return { ...form, close: 'Back', parts: [...form.parts, smallPrint(standingCaution)] };
}
