import type { HomeView, ModalView } from '@slack/web-api';
import type { Form, FormAnswer } from '../../chat/form.ts';
import type { Part } from '../../chat/parts.ts';
import { blocksOf } from './blocks.ts';
import { plain } from './inputs.ts';
import { limits } from './limits.ts';
import { plainText } from './mrkdwn.ts';

/** A form or page as a view. */
export function drawnView({ id, title, submit, close, meta, parts }: Form): ModalView {
  return {
    type: 'modal',
    callback_id: id,
    title: plain(title, limits.modalTitle),
    ...(submit === undefined ? {} : { submit: plain(submit, limits.modalButton) }),
    close: plain(close, limits.modalButton),
    private_metadata: meta,
    blocks: blocksOf(parts),
  };
}

/** One person's Home. */
export function drawnHome(parts: readonly Part[]): HomeView {
  return { type: 'home', callback_id: 'home', blocks: blocksOf(parts) };
}

/** What a submission is answered with. */
export type DrawnFormAnswer =
  | { response_action: 'clear' }
  | { response_action: 'push' | 'update'; view: ModalView }
  | { response_action: 'errors'; errors: Record<string, string> };

export function drawnFormAnswer(answer: FormAnswer): DrawnFormAnswer {
  switch (answer.is) {
    case 'close':
      return { response_action: 'clear' };
    case 'push':
      return { response_action: 'push', view: drawnView(answer.form) };
    case 'replace':
      return { response_action: 'update', view: drawnView(answer.form) };
    case 'errors':
      return {
        response_action: 'errors',
        errors: Object.fromEntries(
          Object.entries(answer.errors).map(([id, words]) => [id, plainText(words)]),
        ),
      };
  }
}
