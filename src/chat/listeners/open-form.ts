import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import type { DutyKind } from '../../domain/duty-kind.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { mayDecide, onCallAt } from '../../domain/ward/on-call.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { beforeSampleWords } from '../../wording/care/blood-words.ts';
import { claimsOf } from '../../wording/care/claim-words.ts';
import { capital, dutyName } from '../../wording/care/duty-words.ts';
import { beforeSourceWords } from '../../wording/care/heparin-words.ts';
import { clockText } from '../../wording/care/line-words.ts';
import { partBelow } from '../../wording/care/part-below.ts';
import { holdWords } from '../../wording/care/removal-words.ts';
import { inErrorWords, refusalWords } from '../../wording/refusals/refusal-words.ts';
import { type ActionValue, draftCarried } from '../action-value.ts';
import { type Bot, type Caller, openView, updateView } from '../bot.ts';
import { type Form } from '../form.ts';
import { auditForm } from '../forms/audit-form.ts';
import { cannotForm } from '../forms/cannot-form.ts';
import type { OfferedDuty } from '../forms/duty-choice.ts';
import { earlierForm } from '../forms/earlier-form.ts';
import { exportForm } from '../forms/export-form.ts';
import { letGoForm } from '../forms/let-go-form.ts';
import { onCallForm } from '../forms/on-call-form.ts';
import { policyForm } from '../forms/policy-form.ts';
import { verbForm } from '../forms/verb-form.ts';
import { joinButtons } from '../messages/move-buttons.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { lineVerb, pressureVerbs } from '../verbs/line-verbs.ts';
import { valuesOf } from '../verbs/values-of-draft.ts';
import type { LineVerb, Values } from '../verbs/verb.ts';
import { openAmend, openInError } from './amend.ts';
import { openAssign } from './assign.ts';
import { openCover } from './cover.ts';
import { beginFault } from './fault.ts';
import { openAnother, openAttempt, openScreening, screenFirst } from './placing.ts';
import { openSetUp } from './set-up.ts';
import { sortAsked, staleWords } from './stale-press.ts';
import { openTargets } from './targets.ts';

/** Forms that answer the duties a button named. */
const aboutDuties: ReadonlySet<string> = new Set(['earlier', 'cannot', 'letgo']);

const olderVersion = 'This button is from an older version. Type /artline for the menu.';
const noLine = 'This line isn’t on this ward’s record. /artline shows the lines there are.';

/** Forms of the ward as a whole, by what their buttons name. */
const wardForms: Readonly<Record<string, (bot: Bot, caller: Caller, value: ActionValue) => Promise<void>>> = {
  place: openScreening,
  screen: screenFirst,
  attempt: openAttempt,
  policy: openPolicy,
  setup: openSetUp,
  oncall: (bot, caller) => openView(bot, caller, onCallForm(caller.wardId)),
  export: (bot, caller) => openView(bot, caller, exportForm(caller.wardId)),
  audit: (bot, caller) => openView(bot, caller, auditForm(caller.wardId)),
  assign: (bot, caller, { l }) => openAssign(bot, caller, l),
  cover: (bot, caller) => openCover(bot, caller),
};

/** A line that a form is about, and those of the duties asked for on its button that are owed still. */
interface Asked {
  line: LineState;
  ward: WardState;
  value: ActionValue;
  open: readonly [DutyKind, number][];
  now: number;
}

/** Forms of one line, besides those of its verbs. */
const lineForms: Readonly<Record<string, (bot: Bot, caller: Caller, asked: Asked) => Promise<void>>> = {
  amend: (bot, caller, { line, value }) => openAmend(bot, caller, line.id, value.n),
  another: (bot, caller, { line }) => openAnother(bot, caller, line),
  inerror: (bot, caller, { line }) => openInError(bot, caller, line.id),
  targets: (bot, caller, { line, ward }) => openTargets(bot, caller, line, ward),
  earlier: (bot, caller, { line, ward: { policy }, open, now }) => {
    const duties = doneDuties(open, line, policy, now);
    const { zone } = policy.shifts;
    return openView(bot, caller, earlierForm({ wardId: caller.wardId, duties, now, zone }));
  },
  cannot: (bot, caller, { line, ward, open, now }) => {
    const duties = offeredDuties(open, line, ward.policy, now);
    const onCall = onCallAt(ward, now);
    const { wardId, inView, user: by } = caller;
    return openView(bot, caller, cannotForm({ wardId, duties, onCall, by, under: inView?.page }));
  },
  letgo: openLetGo,
};

/** Opens the form a button names: a verb's, or one of the answers to a duty. */
export async function openForm(bot: Bot, caller: Caller, what: string, value: ActionValue): Promise<void> {
  const ofWard = Object.hasOwn(wardForms, what) ? wardForms[what] : undefined;
  if (ofWard) return ofWard(bot, caller, value);
  const { record, clock } = bot.deps;
  const [ward, line] = await Promise.all([
    record.readWardState(caller.wardId),
    value.l ? record.readLine(caller.wardId, value.l) : null,
  ]);
  if (!line) return caller.say(noLine);
  const now = clock.now();
  if (line.inError) return caller.say(await inErrorWords(line.inError, line, ward, bot.names, now));
  const { open, stale } = sortAsked(line, ward, value, now);
  // A form about duties that were done since, or of a line that is out, would only be refused when it is sent.
  if (stale.length > 0 && open.length === 0 && aboutDuties.has(what)) {
    return caller.say(await staleWords(bot, line, ward, stale, now));
  }
  const ofLine = Object.hasOwn(lineForms, what) ? lineForms[what] : undefined;
  if (ofLine) return ofLine(bot, caller, { line, ward, value, open, now });
  const spec = lineVerb(what);
  if (!spec) return caller.say(olderVersion);
  if (value.t) return openAgain(bot, caller, line, value.t);
  if (value.v === 'measured' && caller.inView) return showMeasured(bot, caller, spec, line, ward);
  return openVerb(bot, caller, spec, line);
}

/** Opens the form by which a clinician lets a duty go. */
async function openLetGo(bot: Bot, caller: Caller, { line, ward, open, now }: Asked): Promise<void> {
  const { policy } = ward;
  if (!mayDecide(ward, caller.user, now)) {
    return caller.say(
      'Only the clinician on call, or a clinician named in the ward policy, can decide this. /artline oncall shows who is on call.',
    );
  }
  // The dwell warning is news: what a clinician decides is the limit.
  const [first] = offeredDuties(open, line, policy, now).map((duty) =>
    duty.asked.kind === 'dwellWarning' ? dwellLimitOf(line, policy, now) : duty,
  );
  if (!first) return caller.say('There is nothing left to decide here.');
  const isPiece = first.asked.kind === 'finding' && line.tipMissing !== null && line.finding === null;
  const { zone } = policy.shifts;
  return openView(bot, caller, letGoForm({ wardId: caller.wardId, duty: first, now, zone, isPiece }));
}

/** Puts the form for whoever measured in place of the ordinary one: the platform stacks three views and no more. */
async function showMeasured(
  bot: Bot,
  caller: Caller,
  spec: LineVerb,
  line: LineState,
  ward: WardState,
): Promise<void> {
  const now = bot.deps.clock.now();
  const { zone } = ward.policy.shifts;
  const form = verbForm(spec, { wardId: caller.wardId, line, now, zone, measured: true });
  if (caller.inView) await updateView(bot, caller.inView.id, form);
}

/** Opens the form of what was recorded and not said yes to, with all of it filled in; in place of the question, where that was a form. */
async function openAgain(
  bot: Bot,
  caller: Caller,
  line: LineState,
  t: NonNullable<ActionValue['t']>,
): Promise<void> {
  const draft = draftCarried(t);
  const given = draft && valuesOf(draft);
  const spec = given && lineVerb(given.verb);
  if (!spec) return caller.say(olderVersion);
  const form = await formOf(bot, caller, spec, line, { values: given.values, at: t.at });
  return caller.inView ? updateView(bot, caller.inView.id, form) : openView(bot, caller, form);
}

/** Opens a verb's form for one line. */
export async function openVerb(
  bot: Bot,
  caller: Caller,
  spec: LineVerb,
  line: LineState,
  values?: Values,
): Promise<void> {
  if (spec.verb === 'fault') return beginFault(bot, caller, line, { via: 'command' });
  // A form that can only be refused is not filled in first.
  if (pressureVerbs.has(spec.verb) && isCapped(line) && !line.removed) {
    const ward = await bot.deps.record.readWardState(caller.wardId);
    const now = bot.deps.clock.now();
    const why = await refusalWords({ because: 'no transducer' }, line, ward, bot.names, now);
    return caller.say(why, [paragraph(why), buttonRow(`join:${line.id}`, joinButtons(caller.wardId, line))]);
  }
  return openView(bot, caller, await formOf(bot, caller, spec, line, values ? { values } : {}));
}

async function formOf(
  bot: Bot,
  { wardId }: Caller,
  spec: LineVerb,
  line: LineState,
  known: { values?: Values; at?: number },
): Promise<Form> {
  const { policy } = await bot.deps.record.readWardState(wardId);
  const now = bot.deps.clock.now();
  const before = beforeVerbWords(spec.verb, line, policy, now);
  return verbForm(spec, {
    wardId,
    line,
    now,
    zone: policy.shifts.zone,
    ...known,
    ...(before === '' ? {} : { before }),
  });
}

/** What to know before something is recorded of a line; empty where there is nothing. */
function beforeVerbWords(verb: string, line: LineState, policy: WardPolicy, now: number): string {
  if (verb === 'sample') return beforeSampleWords(line, policy, now);
  if (verb === 'remove') {
    const pulse = `Feel the pulse of the ${partBelow(line.site)} before, and after.`;
    return [...holdWords(line, policy), pulse].join('\n');
  }
  return verb === 'source' ? beforeSourceWords(line) : '';
}

/** Opens the ward's policy. */
export async function openPolicy(bot: Bot, caller: Caller): Promise<void> {
  const { record, clock } = bot.deps;
  const ward = await record.readWardState(caller.wardId);
  return openView(bot, caller, policyForm(ward, clock.now()));
}

/** Duties as a form offers them. */
function offeredDuties(
  duties: readonly [DutyKind, number][],
  line: LineState,
  policy: WardPolicy,
  now: number,
): OfferedDuty[] {
  return duties.map(([kind, dueAt]) => ({
    asked: { lineId: line.id, kind, dueAt },
    text: `${line.patient.name}: ${dutyName(kind, line)}, due ${clockText(policy, dueAt, now)}`,
  }));
}

/** Duties as the form that marks them done offers them: by what it records of each. */
function doneDuties(
  duties: readonly [DutyKind, number][],
  line: LineState,
  policy: WardPolicy,
  now: number,
): OfferedDuty[] {
  return duties.flatMap(([kind, dueAt]) => {
    const claims = claimsOf([kind], line, policy);
    if (claims.length === 0) return [];
    const text = `${line.patient.name}: ${claims.join(', ')} (due ${clockText(policy, dueAt, now)})`;
    return [{ asked: { lineId: line.id, kind, dueAt }, text }];
  });
}

function dwellLimitOf(line: LineState, policy: WardPolicy, now: number): OfferedDuty | undefined {
  const limit = dutiesOfLine(line, policy, now).find(({ kind }) => kind === 'dwellLimit');
  return (
    limit && {
      asked: { lineId: line.id, kind: limit.kind, dueAt: limit.dueAt },
      text: capital(`${line.patient.name}: dwell limit, due ${clockText(policy, limit.dueAt, now)}`),
    }
  );
}
