import type { App, ViewSubmitAction } from '@slack/bolt';
import { notAllowed, otherTeam } from '../../chat/allowed.ts';
import { asTyped } from '../../chat/as-typed.ts';
import { type Caller, isOnHighest } from '../../chat/bot.ts';
import type { FormAnswer, Sent } from '../../chat/form.ts';
import { guarded } from '../../chat/guard.ts';
import { oldPractice, onPractiseSubmit } from '../../chat/listeners/practise.ts';
import { onSubmit } from '../../chat/listeners/submit.ts';
import { sentView } from '../render/sent-view.ts';
import { drawnFormAnswer } from '../render/view.ts';
import { privately } from './answers.ts';
import { botFor } from './bot-for.ts';
import { practiceCarried } from './practice-carried.ts';
import type { Taken } from './taken.ts';

/** Forms that are sent. */
export function takeSubmits(app: App, taken: Taken): void {
  const { timed, goOn, trouble, acked } = taken;
  app.view({ callback_id: /.*/, type: 'view_closed' }, ({ ack }) => timed(() => ack()));
  app.view<ViewSubmitAction>({ callback_id: /.*/, type: 'view_submission' }, async ({ ack, body, view }) => {
    const sent = sentView(view) ?? noForm(view.callback_id);
    const bot = await botFor(taken, body.team?.id ?? body.user.team_id, async (text) => {
      const response = failure(sent, text);
      await (response ? ack(drawnFormAnswer(response)) : ack());
    });
    if (!bot) return;
    const practice = practiceCarried(view, body.user.id);
    const meta = practice?.wardId ?? wardOfView(view.private_metadata);
    const caller: Caller = {
      wardId: meta,
      user: body.user.id,
      triggerId: body.trigger_id,
      once: `v.${view.id}`,
      say: privately(bot, () => meta, body.user.id),
    };
    const team = body.team?.id ?? body.user.team_id;
    const refused = () => notAllowed(bot, caller, team);
    const began = performance.now();
    let answered = false;
    const isHighest = isOnHighest({
      rootId: view.root_view_id ?? view.id,
      previousId: view.previous_view_id,
    });
    const answer = async (response: FormAnswer | undefined) => {
      if (answered) return false;
      answered = true;
      const next = response?.is === 'push' && isHighest ? { ...response, is: 'replace' as const } : response;
      await (next ? ack(asTyped(drawnFormAnswer(next), bot.command)) : ack());
      acked((performance.now() - began) / 1000);
      return true;
    };
    await goOn(
      guarded(
        async () => {
          if (practice === undefined) return onSubmit(bot, caller, sent, answer, refused);
          const refusal = practice === null ? oldPractice : otherTeam(bot, caller, team);
          if (refusal !== null || practice === null) {
            if (!(await answer(failure(sent, refusal ?? oldPractice))))
              await caller.say(refusal ?? oldPractice);
            return;
          }
          return onPractiseSubmit(bot, caller, sent, practice, answer);
        },
        { say: async (text) => void ((await answer(failure(sent, text))) || (await caller.say(text))) },
        (what, cause) => trouble(what, { user: body.user.id, view: view.callback_id }, cause),
      ),
    );
  });
}

/** A view whose answers have no shape that we know: the listener says that it is of another version. */
function noForm(id: string): Sent {
  return { id, meta: '', asked: [], answers: {}, kept: {} };
}

function wardOfView(privateMetadata: string): string {
  try {
    const meta = JSON.parse(privateMetadata) as { ward?: unknown; w?: unknown };
    const ward = meta.ward ?? meta.w;
    return typeof ward === 'string' ? ward : '';
  } catch {
    return '';
  }
}

/** A sentence at the form's first field, so that what was typed stays where it is. */
function failure({ asked: [first] }: Sent, text: string): FormAnswer | undefined {
  return first === undefined ? undefined : { is: 'errors', errors: { [first]: text } };
}
