import { isDeepStrictEqual } from 'node:util';
import type { ViewOutput } from '@slack/bolt';
import type { ModalView } from '@slack/web-api';
import { noticePost } from '../../app/notice-post.ts';
import { placeLine } from '../../app/place-line.ts';
import type { Post } from '../../app/ports.ts';
import { RecordUnavailable } from '../../app/record-unavailable.ts';
import { type Intent, type Outcome, tellLines } from '../../app/tell-lines.ts';
import { tellWard } from '../../app/tell-ward.ts';
import { usualTellings } from '../../app/usual-tellings.ts';
import { isCapped } from '../../domain/line/transducer.ts';
import { linesOfAnimal, targetsLine } from '../../domain/patient/animal.ts';
import type { Telling } from '../../domain/record/entry.ts';
import { mayNameLead } from '../../domain/ward/ward-lead.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { actionValue } from '../action-value.ts';
import { askedWords } from '../answers/asked-words.ts';
import { notLookedWords, outcomeWords } from '../answers/outcome-words.ts';
import { refusalWords } from '../answers/refusal-words.ts';
import { putRightButton, sayOfWard, unregisterButton } from '../answers/take-back.ts';
import type { Bot, Caller } from '../bot.ts';
import { readAmendList } from '../forms/amend-list.ts';
import { readAssignForm } from '../forms/assign-form.ts';
import { readAttemptForm } from '../forms/attempt-form.ts';
import { readAuditForm } from '../forms/audit-form.ts';
import { readCannotForm } from '../forms/cannot-form.ts';
import { readCoverForm } from '../forms/cover-form.ts';
import { readEarlierForm } from '../forms/earlier-form.ts';
import { readExportForm } from '../forms/export-form.ts';
import { readLetGoForm } from '../forms/let-go-form.ts';
import { readOnCallForm } from '../forms/on-call-form.ts';
import { placeFormAnew, readPlaceForm } from '../forms/place-form.ts';
import { readPolicyForm } from '../forms/policy-form.ts';
import { problemErrors } from '../forms/read-view.ts';
import { readScreeningForm } from '../forms/screening-form.ts';
import { readSureForm, sureForm } from '../forms/sure-form.ts';
import { readTargetsForm } from '../forms/targets-form.ts';
import { readVerbForm } from '../forms/verb-form.ts';
import { type FormErrors, staleForm } from '../forms/view-state.ts';
import { readWhoseForm, type WhoseFormRead, whoseForm } from '../forms/whose-form.ts';
import { pressAgainWords, unavailableInForm } from '../guard.ts';
import { actions, section } from '../messages/blocks.ts';
import { joinButtons } from '../messages/move-buttons.ts';
import { escaped } from '../text.ts';
import { capital, doneWords } from '../wording/duty-words.ts';
import { heparinCautionWords } from '../wording/heparin-words.ts';
import { animalWords, clockText, lineWords } from '../wording/line-words.ts';
import { screenedWords } from '../wording/screening-words.ts';
import { amendListed, amendSent, inErrorSent } from './amend.ts';
import { shareOut } from './assign.ts';
import { sendAudit } from './audit.ts';
import { setCover } from './cover.ts';
import { exportRecord } from './export-record.ts';
import { notTold, plainText, type Result } from './form-result.ts';
import { readBackSent } from './handover.ts';
import { cannotBeOnCall, putOnCall } from './on-call.ts';
import { attemptSent, ofChosen, screened, wrongPeople } from './placing.ts';
import { testButton } from './press.ts';
import { sayOutcome } from './say-outcome.ts';

/** How long a form waits for the record before it answers without it, ms: inside the platform's 3 s. */
export const answerWithinMs = 2_200;

/** Closes the form, goes on to another, or puts sentences beside its fields. */
export type FormAnswer =
  | { response_action: 'clear' }
  | { response_action: 'push' | 'update'; view: ModalView }
  | { response_action: 'errors'; errors: FormErrors };

/**
 * Takes a submitted form. It is answered within the platform's 3 s whatever the record does: with the record's own
 * verdict where that comes in time, else with a sentence that keeps the form and what was typed in it. Pressed again,
 * the same form is written once.
 */
export async function onSubmit(
  bot: Bot,
  caller: Caller,
  view: ViewOutput,
  answer: (response: FormAnswer) => Promise<boolean>,
  refused: () => Promise<string | null>,
): Promise<void> {
  const work = (async (): Promise<Result> => {
    const refusal = await refused();
    if (refusal !== null) return { is: 'wrong as a whole', message: refusal };
    return take(bot, caller, view);
  })();
  const late = new Promise<'late'>((resolve) => setTimeout(() => resolve('late'), answerWithinMs).unref());
  let result: Result | 'late';
  try {
    result = await Promise.race([work, late]);
  } catch (error) {
    if (!(error instanceof RecordUnavailable)) throw error;
    result = { is: 'wrong as a whole', message: unavailableInForm(error) };
  }
  if (result === 'late') {
    work.catch(() => undefined);
    await answer(whole(view, pressAgainWords));
    return;
  }
  switch (result.is) {
    case 'wrong':
      await answer({ response_action: 'errors', errors: result.errors });
      return;
    case 'wrong as a whole':
      await answer(whole(view, result.message));
      return;
    case 'next':
      await answer({ response_action: result.where === 'on top' ? 'push' : 'update', view: result.form });
      return;
    case 'done':
      await answer({ response_action: 'clear' });
      await result.afterwards();
  }
}

/** A sentence about the form as a whole stands at its first input, where the platform can show it. */
function whole(view: ViewOutput, message: string): FormAnswer {
  const first = view.blocks.find((block) => block.type === 'input')?.block_id;
  return first === undefined
    ? { response_action: 'clear' }
    : { response_action: 'errors', errors: { [first]: message } };
}

async function take(bot: Bot, caller: Caller, view: ViewOutput): Promise<Result> {
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  const at = { now: clock.now(), zone: ward.policy.shifts.zone };
  const callback = view.callback_id;
  if (callback === 'screening') return screened(bot, caller, ward, readScreeningForm(view));
  if (callback === 'place') return placeSent(bot, caller, ward, view);
  if (callback === 'whose') return place(bot, caller, ward, readWhoseForm(view));
  if (callback === 'attempt')
    return attemptSent(bot, caller, readAttemptForm(view, { ...at, user: caller.user }));
  if (callback.startsWith('tell:')) return verb(bot, caller, ward, readVerbForm(view, at));
  switch (callback) {
    case 'sure': {
      const read = readSureForm(view);
      if (read.is !== 'told') return notTold(read);
      return tell(bot, caller, [{ lineId: read.lineId, telling: read.telling }], read.at);
    }
    case 'earlier': {
      const read = readEarlierForm(view, at);
      if (read.is !== 'told') return notTold(read);
      const items = [...Map.groupBy(read.asked, ({ lineId }) => lineId)].flatMap(([lineId, asked]) =>
        usualTellings(asked.map(({ kind }) => kind)).map((telling) => ({ lineId, telling })),
      );
      return tell(bot, caller, items, read.at);
    }
    case 'cannot': {
      const read = readCannotForm(view);
      if (read.is !== 'told') return notTold(read);
      const items = read.asked.map(({ lineId, kind, dueAt }) => ({
        lineId,
        telling: { kind: 'noted', body: { text: read.reason, cannot: [kind, dueAt] } } as Telling,
      }));
      return tell(bot, caller, items);
    }
    case 'letgo': {
      const read = readLetGoForm(view, at);
      if (read.is !== 'told') return notTold(read);
      const { lineId, kind, dueAt } = read.asked;
      return tell(bot, caller, [
        {
          lineId,
          telling: { kind: 'waived', body: { duty: kind, dueAt, reason: read.reason, until: read.until } },
        },
      ]);
    }
    case 'targets': {
      const read = readTargetsForm(view, at);
      if (read.is === 'ended')
        return tell(bot, caller, [
          {
            lineId: await targetsSetOn(bot, caller, read.lineId),
            telling: { kind: 'targetsEnded', body: {} },
          },
        ]);
      if (read.is !== 'told') return notTold(read);
      const { targets, reason, until } = read;
      return tell(bot, caller, [
        { lineId: read.lineId, telling: { kind: 'targetsSet', body: { ...targets, reason, until } } },
      ]);
    }
    case 'amend:list':
      return amendListed(bot, caller, readAmendList(view));
    case 'amend': {
      const sent = await amendSent(bot, caller, view, ward);
      return 'items' in sent ? tell(bot, caller, sent.items, undefined, sent.posts) : sent;
    }
    case 'inerror': {
      const sent = await inErrorSent(bot, caller, view);
      return 'lineId' in sent ? tell(bot, caller, [sent]) : sent;
    }
    case 'policy':
      return policy(bot, caller, ward, readPolicyForm(view));
    case 'audit': {
      const read = readAuditForm(view, at);
      if (read.is !== 'told') return notTold(read);
      return { is: 'done', afterwards: () => sendAudit(bot, caller, read.period) };
    }
    case 'oncall': {
      const read = readOnCallForm(view);
      if (read.is !== 'told') return notTold(read);
      if (read.user === bot.userId) return { is: 'wrong as a whole', message: cannotBeOnCall };
      const say = await putOnCall(bot, caller, read.user);
      return { is: 'done', afterwards: say };
    }
    case 'readback': {
      const said = await readBackSent(bot, caller, view);
      return said === null ? notTold(staleForm) : { is: 'done', afterwards: () => caller.say(said) };
    }
    case 'export': {
      const read = readExportForm(view);
      if (read.is !== 'told') return notTold(read);
      return { is: 'done', afterwards: () => exportRecord(bot, caller, read.format) };
    }
    case 'assign': {
      const read = readAssignForm(view);
      if (read.is !== 'told') return notTold(read);
      return saidOf(await shareOut(bot, caller, read, read.from, 'form'));
    }
    case 'cover': {
      const read = readCoverForm(view, at);
      if (read.is !== 'told') return notTold(read);
      return saidOf(await setCover(bot, caller, read, 'form'));
    }
    default:
      return notTold(staleForm);
  }
}

async function targetsSetOn(bot: Bot, caller: Caller, lineId: string): Promise<string> {
  const line = await bot.deps.record.readLine(caller.wardId, lineId);
  return line ? targetsLine(line) : lineId;
}

function saidOf(result: { say: () => Promise<void> } | { errors: FormErrors }): Result {
  return 'errors' in result ? { is: 'wrong', errors: result.errors } : { is: 'done', afterwards: result.say };
}

async function tell(
  bot: Bot,
  caller: Caller,
  items: readonly { lineId: string; telling: Telling }[],
  at?: number,
  posts?: (outcome: Outcome, now: number) => Post[],
): Promise<Result> {
  const intent: Intent = {
    wardId: caller.wardId,
    by: caller.user,
    via: 'form',
    once: caller.once,
    ...(at === undefined ? {} : { at }),
  };
  const outcome = await tellLines(bot.deps, intent, items, posts);
  const now = bot.deps.clock.now();
  // When nothing of it was taken, the form stays open with why: nobody types it a second time.
  if (!outcome.repeat && outcome.told.every(({ is }) => is === 'refused' || is === 'no such line')) {
    const words = await outcomeWords(outcome, bot.names, now);
    return { is: 'wrong as a whole', message: plainText(words) };
  }
  const [only] = outcome.told;
  const line = only && outcome.lines.get(only.lineId);
  if (line && only.is === 'asked' && outcome.told.length === 1) {
    const words = await askedWords(only, line, outcome.ward, bot.names, now);
    const { question, at: happened } = only;
    const about = { wardId: caller.wardId, user: caller.user, line, question, at: happened, words };
    return { is: 'next', form: sureForm(about), where: 'in its place' };
  }
  return {
    is: 'done',
    afterwards: () => sayOutcome(bot, caller, outcome),
  };
}

async function verb(
  bot: Bot,
  caller: Caller,
  ward: WardState,
  read: ReturnType<typeof readVerbForm>,
): Promise<Result> {
  if (read.is !== 'told') return notTold(read);
  const line = await bot.deps.record.readLine(caller.wardId, read.lineId);
  if (!line)
    return {
      is: 'wrong as a whole',
      message: 'This line is not on record in this ward. Nothing was recorded.',
    };
  const told = read.verb.tellings(read.values, line, ward.policy);
  if ('problems' in told) {
    return { is: 'wrong', errors: problemErrors(told.problems) };
  }
  if (told.tellings.length === 0)
    return { is: 'done', afterwards: () => caller.say(notLookedWords(line, ward, bot.deps.clock.now())) };
  const now = bot.deps.clock.now();
  const happened = Math.abs(read.at - now) < 1_000 ? undefined : read.at;
  return tell(
    bot,
    caller,
    told.tellings.map((telling) => ({ lineId: line.id, telling })),
    happened,
  );
}

async function placeSent(bot: Bot, caller: Caller, ward: WardState, view: ViewOutput): Promise<Result> {
  const now = bot.deps.clock.now();
  const read = readPlaceForm(view, { ward, now });
  if (read.is === 'told') {
    const errors = await wrongPeople(bot, caller, read.placed);
    if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
    const placed = await ofChosen(bot, caller, read.placed, read.of);
    return place(bot, caller, ward, { ...read, placed });
  }
  if (read.is !== 'to decide' && read.is !== 'to look again') return place(bot, caller, ward, read);
  const asks = read.is === 'to decide' ? 'cautions' : 'heparin';
  const form = placeFormAnew(view, { ward, user: caller.user, now }, asks);
  return form ? { is: 'next', form, where: 'in its place' } : notTold(staleForm);
}

async function place(bot: Bot, caller: Caller, ward: WardState, read: WhoseFormRead): Promise<Result> {
  if (read.is !== 'told') return notTold(read);
  const { deps, names } = bot;
  const placed = await placeLine(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'form', at: read.at, once: caller.once },
    read.placed,
  );
  const now = deps.clock.now();
  switch (placed.is) {
    case 'refused':
      return {
        is: 'wrong',
        errors: { name: plainText(await refusalWords(placed.refusal, null, ward, names, now)) },
      };
    case 'occupied': {
      const { line } = placed;
      return {
        is: 'wrong',
        errors: {
          name: `${line.patient.name}, ${plainText(animalWords(line))}, has a line there already, placed ${clockText(ward.policy, line.placed.at, now)}. The same animal: take that line out first, put it right (${bot.command} amend), or check site and side here. Another of that name: add something to the name.`,
        },
      };
    }
    case 'whose': {
      const placings = await deps.record.readPlacings(caller.wardId);
      const given = { ward: placed.ward, placed: read.placed, at: read.at, line: placed.line, now };
      const form = whoseForm({ ...given, names: placings.map(({ patient }) => patient.name) });
      return { is: 'next', form, where: 'on top' };
    }
    case 'already': {
      // Two at two phones: what only the second looked at and filled in must not be thought to stand.
      const notAdded =
        placed.line.placed.by === caller.user
          ? ''
          : ' Nothing of your form was added, cautions neither: look at the card, and put right there what differs.';
      return {
        is: 'done',
        afterwards: async () =>
          caller.say(
            `${await names.of(placed.line.placed.by)} registered that line first: ${lineWords(placed.line)}. It’s recorded once.${notAdded}`,
          ),
      };
    }
    case 'placed': {
      const { line } = placed;
      const clock = (atMs: number) => clockText(ward.policy, atMs, now);
      const looked = await screenedWords(line, names, clock);
      const count = linesOfAnimal(line).length;
      const more =
        count === 1
          ? ''
          : ` ${escaped(line.patient.name)} has had ${count} lines in this stay: blood, flush fluid and cautions count together.`;
      const heparin = heparinCautionWords(line);
      const caution = heparin === '' ? '' : ` *${heparin}.*`;
      const registered = `Registered: ${lineWords(line)}.${more} ${capital(looked)}.${caution}`;
      if (isCapped(line)) {
        const flush = `Samples only, capped: nothing to zero or test. Flush it by hand every ${ward.policy.flushEveryMin} min; I ask.`;
        const text = `${registered} ${flush}`;
        return {
          is: 'done',
          afterwards: () =>
            caller.say(text, [
              section(text),
              actions(`placed:${line.id}`, [
                ...joinButtons(caller.wardId, line),
                unregisterButton(caller.wardId, line),
                putRightButton(caller.wardId, line.id, line.placed.entry),
              ]),
            ]),
        };
      }
      const text = `${registered} Now zero and level it, and do a fast-flush test; I ask again in ${ward.policy.atOnceMin} min.`;
      const value = actionValue({ w: caller.wardId, l: line.id });
      return {
        is: 'done',
        afterwards: () =>
          caller.say(text, [
            section(text),
            actions(`placed:${line.id}`, [
              { action: `done:zero:${line.id}:first`, text: doneWords('zero'), value, primary: true },
              testButton(caller.wardId, line.id),
              unregisterButton(caller.wardId, line),
              putRightButton(caller.wardId, line.id, line.placed.entry),
            ]),
          ]),
      };
    }
  }
}

async function policy(
  bot: Bot,
  caller: Caller,
  before: WardState,
  read: ReturnType<typeof readPolicyForm>,
): Promise<Result> {
  if (read.is !== 'told') return notTold(read);
  const isNamed = read.policy.lead !== before.policy.lead;
  if (isNamed && !mayNameLead(before, caller.user, bot.deps.clock.now()))
    return {
      is: 'wrong',
      errors: {
        lead: 'Only the ward lead, a clinician of this policy or whoever is on call can change the ward lead, who sees everybody’s learning curve. Put it back as it was, or ask one of them.',
      },
    };
  const told = await tellWard(
    bot.deps,
    { wardId: caller.wardId, by: caller.user, via: 'form', once: caller.once },
    { kind: 'policySet', body: { policy: read.policy } },
    (view, now) => {
      const about = { what: 'policy', user: caller.user, for: view.ward.policyVersion };
      return [noticePost(`2.policy.${now.toString(36)}`, 'ward', now, about)];
    },
    (ward) => ward.policyVersion === read.basedOn,
  );
  // Pressed again after the record was slow to answer: what stands may be what this very form wrote.
  if (told.is !== 'taken' && isDeepStrictEqual(read.policy, told.view.ward.policy)) {
    return {
      is: 'done',
      afterwards: () => caller.say('The ward policy is as in this form. Nothing was written twice.'),
    };
  }
  if (told.is !== 'taken') {
    return {
      is: 'wrong as a whole',
      message:
        'Somebody else changed the policy while this form was open. Close it, open it again and make your change on what stands now.',
    };
  }
  return {
    is: 'done',
    afterwards: () =>
      sayOfWard(
        caller,
        'Ward policy changed. It applies to every line from now on, and I’m telling the channel.',
        told.view.ward,
        'policy',
      ),
  };
}
