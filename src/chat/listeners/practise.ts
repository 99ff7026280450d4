import { handoverPosts, restOfHandover } from '../../app/handover-posts.ts';
import { readHandover } from '../../app/handover-record.ts';
import {
  type InventedKind,
  inventedClinician,
  inventedLineId,
  practiceWardId,
} from '../../app/rehearsal/invented-line.ts';
import { type Practice, practiceOn } from '../../app/rehearsal/practice.ts';
import { wardAudit } from '../../domain/audit/ward-audit.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { anybodyDecides, onCallFor } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { clockText } from '../../wording/care/line-words.ts';
import type { Names } from '../../wording/names.ts';
import type { ActionValue } from '../action-value.ts';
import { dueList } from '../answers/due-list.ts';
import { roundList } from '../answers/round-list.ts';
import { type Bot, type Caller, openView, updateView } from '../bot.ts';
import type { Form, FormAnswer, Sent } from '../form.ts';
import { isPractise, type PractiseMeta, realCallback } from '../forms/practise-meta.ts';
import { practiceOf } from '../help/screens.ts';
import { composeMessage } from '../messages/compose.ts';
import { type Part } from '../parts.ts';
import { brokenView, practisedAnswer, practisedView, practiseView } from '../views/practise-view.ts';
import { openForm } from './open-form.ts';
import { onPress } from './press.ts';
import { answerWithinMs, onSubmit } from './submit.ts';

export const oldPractice =
  'This practice is from an older version. Close it and open it again; nothing was recorded.';

/** Says so in a view whose practice cannot be read: where else its reader is nobody knows. */
export async function answerOldPractice(bot: Bot, viewId: string | undefined): Promise<void> {
  if (viewId) await updateView(bot, viewId, brokenView(oldPractice));
}

/** Opens a verb's real form on the invented line, or shows what a verb without a form would answer. */
export async function beginPractise(bot: Bot, caller: Caller, verb: string): Promise<void> {
  const kind = practiceOf(verb);
  if (kind === undefined) {
    return caller.say('There’s nothing to practise here. Type /artline help for the list.');
  }
  const stage = await beginOn(bot, caller, verb, kind);
  const view = await opened(stage);
  // Begun again from within a practice, the new one takes its place: the platform stacks three views and no more.
  if (caller.inView && isPractise(caller.inView.page)) return updateView(bot, caller.inView.id, view);
  return openView(bot, caller, view, 'The practice did not open in time. Press once more.');
}

async function opened(stage: Stage): Promise<Form> {
  const { bot, caller, verb } = stage;
  switch (verb) {
    case 'due':
    case 'round':
    case 'handover':
      return stage.dress(practisedAnswer(answerTitles[verb], await answerParts(stage, verb)));
    default: {
      await openForm(bot, caller, verb, { w: practiceWardId, l: inventedLineId, v: verb });
      return stage.shown();
    }
  }
}

const answerTitles = { due: 'Due', round: 'Rounds', handover: 'Handover' } as const;

async function answerParts(
  { bot, caller, practice }: Stage,
  verb: keyof typeof answerTitles,
): Promise<Part[]> {
  const now = bot.deps.clock.now();
  const view = await practice.record.readWard(practiceWardId);
  switch (verb) {
    case 'due':
      return (await dueList(view, bot.names, now)).parts;
    case 'round':
      return (await roundList(view, bot.names, caller.user, now)).parts;
    case 'handover': {
      const posted = { for: now, auto: false, postedAt: now, accepted: null, nudgedAt: null };
      const handedOver = { ...view, ward: { ...view.ward, handovers: [posted] } };
      const [first] = handoverPosts(view, now, now);
      if (!first) return [];
      const read = await readHandover(practice.record, practiceWardId, first);
      const shown = { ...handedOver, handedOver: read };
      const rest = restOfHandover(first, read, { channel: 1, visits: 0 }, '');
      const messages = await Promise.all(
        [first, ...rest].map((post) => composeMessage(post, shown, bot.names, now)),
      );
      return messages.flatMap(({ parts }) => parts);
    }
  }
}

/** A press inside a practice: the real listener on the invented line; whatever it would show takes the view's place. */
export async function onPractisePress(
  bot: Bot,
  caller: Caller,
  action: string,
  value: ActionValue,
  carried: PractiseMeta,
): Promise<void> {
  if (value.w !== practiceWardId || !caller.inView) return caller.say(oldPractice);
  const [verb, what, of = ''] = action.split(':');
  if (verb === 'open' && what === 'practise') return beginPractise(bot, caller, of);
  const stage = await stageOf(bot, caller, carried);
  await onPress(stage.bot, stage.caller, action, value);
  await updateView(bot, caller.inView.id, stage.shown());
}

/** Takes a practice's form as the real one is taken, and answers with the real words. Nothing is written. */
export async function onPractiseSubmit(
  bot: Bot,
  caller: Caller,
  sent: Sent,
  carried: PractiseMeta,
  answer: (response: FormAnswer) => Promise<boolean>,
): Promise<void> {
  let isLate = false;
  const late = setTimeout(() => {
    isLate = true;
    void answer({ is: 'close' });
  }, answerWithinMs);
  try {
    const stage = await stageOf(bot, caller, carried);
    const real = { ...sent, id: realCallback(sent.id), meta: carried.meta };
    await onSubmit(
      stage.bot,
      stage.caller,
      real,
      async (response) => {
        if (response.is === 'close') return true;
        return answer(marked(response, stage.dress));
      },
      async () => null,
    );
    if (isLate) {
      const words = stage.said.join('\n') || 'It took too long to answer. Try it once more.';
      await caller.say(`Practice only, nothing was recorded. ${words}`);
    } else if (stage.said.length > 0) {
      await answer({ is: 'replace', form: stage.shown() });
    } else {
      // Answered already where something was wrong; else there is nothing to say.
      await answer({ is: 'close' });
    }
  } finally {
    clearTimeout(late);
  }
}

/** A form's next page is a page of the practice too. */
function marked(response: FormAnswer, dress: Stage['dress']): FormAnswer {
  return 'form' in response ? { is: 'replace', form: dress(response.form) } : response;
}

/** A practice's ward has no lines to count. */
const noLogs = { wardEntries: [], lines: [] };
const noPost = async () => {
  throw new Error('a practice sends nothing');
};
const noPosts = { send: noPost, edit: noPost, linkTo: noPost, sendFile: noPost };
const noPictures = { pictures: [], curvePictures: {} };

/** A practice as the real listeners see it: a bot without a record, and a caller whose answers are gathered. */
interface Stage {
  bot: Bot;
  caller: Caller;
  verb: string;
  practice: Practice;
  said: string[];
  /** A real view marked as practice. */
  dress: (view: Form) => Form;
  /** What is to be seen now: what was answered, else the view that the listener opened or brought up to date. */
  shown(): Form;
}

async function beginOn(bot: Bot, caller: Caller, verb: string, kind: InventedKind): Promise<Stage> {
  const at = bot.deps.clock.now();
  const { inView: _, ...fresh } = caller;
  const wardId = caller.wardId;
  return stageOf(bot, fresh, { wardId, verb, kind, at, entries: [], meta: '' });
}

async function stageOf(bot: Bot, caller: Caller, carried: PractiseMeta): Promise<Stage> {
  const real = await bot.deps.record.readWardState(carried.wardId);
  const { policy } = real;
  const practice = practiceOn(bot.deps, policy, {
    kind: carried.kind,
    at: carried.at,
    user: caller.user,
    entries: carried.entries,
    deciding: decidingOn(real, caller.user, bot.deps.clock.now()),
  });
  const said: string[] = [];
  const views: Form[] = [];
  const keep = async (_where: string, view: Form) => void views.push(view);
  const { wardId, verb, kind, at } = carried;
  const going = () => ({ wardId, verb, kind, at, entries: practice.entries() });
  const dress = (view: Form) => practiseView(view, going());
  return {
    verb,
    practice,
    said,
    dress,
    bot: botOnStage(bot, practice, policy, keep),
    caller: callerOnStage(caller, carried, said),
    shown() {
      const last = views.at(-1);
      if (said.length === 0 && last) {
        try {
          return dress(last);
        } catch (error) {
          if (!(error instanceof RangeError)) throw error;
          said.push('This practice has got too long. Start a new one.');
        }
      }
      return practisedView(said, changesOf(practice, policy, bot.deps.clock.now()), going());
    },
  };
}

/** All that a listener may do to the platform in a practice; anything else is a mistake and fails. */
function botOnStage(bot: Bot, practice: Practice, policy: WardPolicy, keep: Bot['screens']['open']): Bot {
  return {
    ...bot,
    deps: practice.deps,
    names: inventedNames(bot.names),
    // Whoever is named, no real channel is asked for them.
    membership: { isIn: async () => true, seenIn: () => undefined },
    audits: { of: async (_ward, period) => ({ audit: wardAudit(noLogs, policy, period), ...noPictures }) },
    screens: { open: keep, push: keep, update: keep },
    posts: noPosts,
  };
}

/** Whoever practises, whose answers are gathered in `said`. */
function callerOnStage(
  { user, triggerId, once, inView }: Caller,
  { meta }: PractiseMeta,
  said: string[],
): Caller {
  return {
    wardId: practiceWardId,
    user,
    triggerId,
    once,
    // Alone on its stack: no view under it is of this practice.
    ...(inView
      ? {
          inView: {
            id: inView.id,
            rootId: inView.id,
            previousId: null,
            page: realCallback(inView.page),
            form: inView.form && { ...inView.form, meta },
          },
        }
      : {}),
    say: async (text) => void said.push(text),
  };
}

/** Who is on call on the real ward; where nobody there may decide, whoever practises, so that the form can be sent at all. */
function decidingOn(ward: WardState, user: string, now: number): string[] {
  if (!anybodyDecides(ward, now)) return [user];
  const onCall = onCallFor(ward, now);
  return onCall ? [onCall.user, ...(onCall.insteadOf === null ? [] : [onCall.insteadOf])] : [];
}

function changesOf(practice: Practice, policy: WardPolicy, now: number) {
  const changed = practice.changes(now);
  return changed && { ...changed, clock: (atMs: number) => clockText(policy, atMs, now) };
}

function inventedNames(names: Names): Names {
  return {
    of: async (user) => (user === inventedClinician ? 'Dr Quill (invented)' : names.of(user)),
  };
}
