import type { WebClient } from '@slack/web-api';
import { asTyped } from '../chat/as-typed.ts';
import type { Screens } from '../chat/bot.ts';
import type { Form } from '../chat/form.ts';
import { drawnView } from './render/view.ts';

/** Views of this workspace, which call the command as it is typed there. */
export function slackScreens({ views }: Pick<WebClient, 'views'>, command: string): Screens {
  const drawn = (form: Form) => asTyped(drawnView(form), command);
  return {
    async open(triggerId, form) {
      await views.open({ trigger_id: triggerId, view: drawn(form) });
    },
    async push(triggerId, form) {
      await views.push({ trigger_id: triggerId, view: drawn(form) });
    },
    async update(pageId, form) {
      await views.update({ view_id: pageId, view: drawn(form) });
    },
  };
}
