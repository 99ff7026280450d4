import type { Intent } from '../../app/decide-drafts.ts';
import type { Post } from '../../app/ports.ts';
import { type Outcome, recordOnLines } from '../../app/record-on-lines.ts';
import { targetsLine } from '../../domain/animal/animal.ts';
import { usualDrafts } from '../../domain/duties/usual-drafts.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { askedWords } from '../answers/asked-words.ts';
import { notLookedWords, outcomeWords } from '../answers/outcome-words.ts';
import type { Bot, Caller } from '../bot.ts';
import { type FormErrors, type Sent } from '../form.ts';
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
import { readPolicyForm } from '../forms/policy-form.ts';
import { problemErrors } from '../forms/read-view.ts';
import { readScreeningForm } from '../forms/screening-form.ts';
import { readSetUpForm } from '../forms/set-up-form.ts';
import { readSureForm, sureForm } from '../forms/sure-form.ts';
import { readTargetsForm } from '../forms/targets-form.ts';
import { readVerbForm } from '../forms/verb-form.ts';
import { staleForm } from '../forms/view-state.ts';
import { readWhoseForm } from '../forms/whose-form.ts';
import { escortFault, namedFault } from '../named-person.ts';
import { amendListed, amendSent, inErrorSent } from './amend.ts';
import { shareOut } from './assign.ts';
import { sendAudit } from './audit.ts';
import { setCover } from './cover.ts';
import { exportRecord } from './export-record.ts';
import { notRecorded, type Result } from './form-result.ts';
import { readBackSent } from './handover.ts';
import { cannotBeOnCall, putOnCall } from './on-call.ts';
import { place, placeSent } from './place-sent.ts';
import { attemptSent, screened } from './placing.ts';
import { policy } from './policy-sent.ts';
import { sayOutcome } from './say-outcome.ts';
import { setUpSent } from './set-up.ts';

/** A submitted form, and what it is taken with. */
interface Submitted {
  bot: Bot;
  caller: Caller;
  sent: Sent;
  ward: WardState;
  at: { now: number; zone: string };
}

/** What each form does once it is submitted, by the form’s id. */
const takenBy: Readonly<Record<string, (submitted: Submitted) => Promise<Result>>> = {
  screening: async ({ bot, caller, ward, sent }) => screened(bot, caller, ward, readScreeningForm(sent)),
  place: async ({ bot, caller, ward, sent }) => placeSent(bot, caller, ward, sent),
  whose: async ({ bot, caller, ward, sent }) => place(bot, caller, ward, readWhoseForm(sent)),
  attempt: async ({ bot, caller, sent, at }) =>
    attemptSent(bot, caller, readAttemptForm(sent, { ...at, user: caller.user })),
  async sure({ bot, caller, sent }) {
    const read = readSureForm(sent);
    if (read.is !== 'ok') return notRecorded(read);
    return recordAndAnswer(bot, caller, [{ lineId: read.lineId, draft: read.draft }], read.at);
  },
  async earlier({ bot, caller, sent, at }) {
    const read = readEarlierForm(sent, at);
    if (read.is !== 'ok') return notRecorded(read);
    const items = [...Map.groupBy(read.asked, ({ lineId }) => lineId)].flatMap(([lineId, asked]) =>
      usualDrafts(asked.map(({ kind }) => kind)).map((draft) => ({ lineId, draft })),
    );
    return recordAndAnswer(bot, caller, items, read.at);
  },
  async cannot({ bot, caller, sent }) {
    const read = readCannotForm(sent);
    if (read.is !== 'ok') return notRecorded(read);
    const items = read.asked.map(({ lineId, kind, dueAt }) => ({
      lineId,
      draft: { kind: 'noted', body: { text: read.reason, cannot: [kind, dueAt] } } as EntryDraft,
    }));
    return recordAndAnswer(bot, caller, items);
  },
  async letgo({ bot, caller, sent, at }) {
    const read = readLetGoForm(sent, at);
    if (read.is !== 'ok') return notRecorded(read);
    const { lineId, kind, dueAt } = read.asked;
    const body = { duty: kind, dueAt, reason: read.reason, until: read.until };
    return recordAndAnswer(bot, caller, [{ lineId, draft: { kind: 'waived', body } }]);
  },
  async targets({ bot, caller, sent, at }) {
    const read = readTargetsForm(sent, at);
    if (read.is === 'ended') {
      const lineId = await targetsSetOn(bot, caller, read.lineId);
      return recordAndAnswer(bot, caller, [{ lineId, draft: { kind: 'targetsEnded', body: {} } }]);
    }
    if (read.is !== 'ok') return notRecorded(read);
    const { lineId, targets, reason, until } = read;
    const body = { ...targets, reason, until };
    return recordAndAnswer(bot, caller, [{ lineId, draft: { kind: 'targetsSet', body } }]);
  },
  'amend:list': async ({ bot, caller, sent }) => amendListed(bot, caller, readAmendList(sent)),
  async amend({ bot, caller, sent, ward }) {
    const amended = await amendSent(bot, caller, sent, ward);
    return 'items' in amended
      ? recordAndAnswer(bot, caller, amended.items, undefined, amended.posts)
      : amended;
  },
  async inerror({ bot, caller, sent }) {
    const struck = await inErrorSent(bot, caller, sent);
    return 'lineId' in struck ? recordAndAnswer(bot, caller, [struck]) : struck;
  },
  setup: async ({ bot, caller, ward, sent }) => setUpSent(bot, caller, ward, readSetUpForm(sent, ward)),
  policy: async ({ bot, caller, ward, sent }) => policy(bot, caller, ward, readPolicyForm(sent)),
  async audit({ bot, caller, sent, at }) {
    const read = readAuditForm(sent, at);
    if (read.is !== 'ok') return notRecorded(read);
    return { is: 'done', afterwards: () => sendAudit(bot, caller, read.period) };
  },
  async oncall({ bot, caller, sent }) {
    const read = readOnCallForm(sent);
    if (read.is !== 'ok') return notRecorded(read);
    if (read.user === bot.userId) return { is: 'wrong as a whole', message: cannotBeOnCall };
    const fault = await namedFault(bot, caller.wardId, read.user);
    if (fault !== null) return { is: 'wrong', errors: { user: `Not set: ${fault}` } };
    return { is: 'done', afterwards: await putOnCall(bot, caller, read.user) };
  },
  async readback({ bot, caller, sent }) {
    const said = await readBackSent(bot, caller, sent);
    return said === null ? notRecorded(staleForm) : { is: 'done', afterwards: () => caller.say(said) };
  },
  async export({ bot, caller, sent }) {
    const read = readExportForm(sent);
    if (read.is !== 'ok') return notRecorded(read);
    return { is: 'done', afterwards: () => exportRecord(bot, caller, read.format) };
  },
  async assign({ bot, caller, sent }) {
    const read = readAssignForm(sent);
    if (read.is !== 'ok') return notRecorded(read);
    return saidOf(await shareOut(bot, caller, read, read.from, 'form'));
  },
  async cover({ bot, caller, sent, at }) {
    const read = readCoverForm(sent, at);
    if (read.is !== 'ok') return notRecorded(read);
    return saidOf(await setCover(bot, caller, read, 'form'));
  },
};

/** Does what a submitted form says; of one that no version of ours knows nothing is recorded. */
export async function takeForm(bot: Bot, caller: Caller, sent: Sent): Promise<Result> {
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  const at = { now: clock.now(), zone: ward.policy.shifts.zone };
  if (sent.id.startsWith('tell:')) return verb(bot, caller, ward, readVerbForm(sent, at));
  const taken = Object.hasOwn(takenBy, sent.id) ? takenBy[sent.id] : undefined;
  return taken ? taken({ bot, caller, sent, ward, at }) : notRecorded(staleForm);
}

async function targetsSetOn(bot: Bot, caller: Caller, lineId: string): Promise<string> {
  const line = await bot.deps.record.readLine(caller.wardId, lineId);
  return line ? targetsLine(line) : lineId;
}

function saidOf(result: { say: () => Promise<void> } | { errors: FormErrors }): Result {
  return 'errors' in result ? { is: 'wrong', errors: result.errors } : { is: 'done', afterwards: result.say };
}

async function recordAndAnswer(
  bot: Bot,
  caller: Caller,
  items: readonly { lineId: string; draft: EntryDraft }[],
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
  const outcome = await recordOnLines(bot.deps, intent, items, posts);
  const now = bot.deps.clock.now();
  // When nothing of it was taken, the form stays open with why: nobody types it a second time.
  if (!outcome.repeat && outcome.results.every(({ is }) => is === 'refused' || is === 'no such line')) {
    const words = await outcomeWords(outcome, bot.names, now);
    return { is: 'wrong as a whole', message: words };
  }
  const [only] = outcome.results;
  const line = only && outcome.lines.get(only.lineId);
  if (line && only.is === 'asked' && outcome.results.length === 1) {
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
  if (read.is !== 'ok') return notRecorded(read);
  const line = await bot.deps.record.readLine(caller.wardId, read.lineId);
  if (!line)
    return {
      is: 'wrong as a whole',
      message: 'This line isn’t on this ward’s record. Nothing was recorded.',
    };
  const verdict = read.verb.drafts(read.values, line, ward.policy);
  if ('problems' in verdict) {
    return { is: 'wrong', errors: problemErrors(verdict.problems) };
  }
  const fault = await escortFault(bot, caller.wardId, verdict.drafts);
  if (fault !== null) return { is: 'wrong', errors: { with: fault } };
  if (verdict.drafts.length === 0)
    return { is: 'done', afterwards: () => caller.say(notLookedWords(line, ward, bot.deps.clock.now())) };
  const now = bot.deps.clock.now();
  const happened = Math.abs(read.at - now) < 1_000 ? undefined : read.at;
  return recordAndAnswer(
    bot,
    caller,
    verdict.drafts.map((draft) => ({ lineId: line.id, draft })),
    happened,
  );
}
