import type { ContextBlock, KnownBlock, ModalView } from '@slack/web-api';
import type { LineState } from '../../domain/record/line-state.ts';
import { limits, shorten } from '../limits.ts';
import { escaped } from '../text.ts';
import { animalWords, placeWords, standingCaution } from '../wording/line-words.ts';
import { plain } from './input-blocks.ts';

/** A small line of text that is no question; `text` is mrkdwn, already escaped. */
export function remark(text: string): ContextBlock {
  return {
    type: 'context',
    elements: [{ type: 'mrkdwn', text: shorten(text, limits.sectionText), verbatim: true }],
  };
}

/** Which line a form is about: patient, animal, site. */
export function lineRemark(line: LineState): ContextBlock {
  return remark(`*${escaped(line.patient.name)}* · ${animalWords(line)} · ${placeWords(line)}`);
}

/** A form with its standing caution at the end. */
export function formView(form: {
  callbackId: string;
  title: string;
  /** What sends it; absent where there is nothing to send. */
  submit?: string;
  meta: string;
  blocks: KnownBlock[];
}): ModalView {
  return {
    type: 'modal',
    callback_id: form.callbackId,
    title: plain(form.title, limits.modalTitle),
    ...(form.submit === undefined ? {} : { submit: plain(form.submit, limits.modalButton) }),
    close: plain('Back', limits.modalButton),
    private_metadata: form.meta,
    blocks: [...form.blocks, remark(standingCaution)],
  };
}
