import { recordOnLines } from '../../app/record-on-lines.ts';
import { lineVerb } from '../../app/verbs/line-verbs.ts';
import type { LineVerb } from '../../app/verbs/verb.ts';
import { findLine } from '../../app/words/find-line.ts';
import { foldAccents, foldWord, wordsOf } from '../../app/words/fold-words.ts';
import { parseCommand } from '../../app/words/parse-command.ts';
import { valuesFromWords } from '../../app/words/verb-words.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { type ActionValue, actionValue } from '../action-value.ts';
import { noPart } from '../allowed.ts';
import { helpMessage } from '../answers/help.ts';
import { notLookedWords, outcomeWords } from '../answers/outcome-words.ts';
import { withTakeBack } from '../answers/take-back.ts';
import type { Bot, Caller } from '../bot.ts';
import { botIsIn } from '../membership.ts';
import { escortFault } from '../named-person.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { room } from '../room.ts';
import { placeWords } from '../wording/line-words.ts';
import { openAmend, openInError } from './amend.ts';
import { assignCommand } from './assign.ts';
import { auditCommand } from './audit.ts';
import { coverCommand } from './cover.ts';
import { exportCommand } from './export-record.ts';
import { beginFault } from './fault.ts';
import { handoverCommand } from './handover.ts';
import { showMine } from './mine.ts';
import { onCallCommand } from './on-call.ts';
import { openPolicy, openVerb } from './open-form.ts';
import { attemptTyped, openPlace, openScreening } from './placing.ts';
import { policyTyped } from './policy-sent.ts';
import { risksCommand } from './risks.ts';
import { sayOutcome } from './say-outcome.ts';
import { openSetUp } from './set-up.ts';
import { showDue, showMenu, showRounds } from './show.ts';
import { openTargets, targetsTyped } from './targets.ts';
import { helpGiven } from './teach.ts';
import { asksForTip, tipAsked, tipParts } from './tip.ts';

/** What came after the slash command, as typed. */
export interface Typed {
  text: string;
  channelName: string;
}

/** Buttons offered when a name fits several lines, or none was given. */
const mostChoices = 8;

/** Does what was typed: opens the menu or a form, records what was typed, or says what was wrong with it. */
export async function onCommand(bot: Bot, caller: Caller, { text, channelName }: Typed): Promise<void> {
  if (channelName === 'directmessage') {
    return caller.say(
      `A line belongs to a ward, and a ward is a channel. Type ${bot.command} in the ward’s channel.`,
    );
  }
  const command = parseCommand(text, bot.command);
  const toWard = command.is === 'menu' || (command.is === 'verb' && command.verb !== 'help');
  if (toWard && !(await botIsIn(bot.membership, caller.wardId, bot.userId))) {
    const own = await bot.names.of(bot.userId);
    return caller.say(
      `I am not in this channel, so I could not remind anybody here. Type /invite @${own} in the ward’s channel, then ${bot.command} again. Nothing was recorded.`,
    );
  }
  // Help is for everybody; what reads or writes the ward is for those who have a part in it, as with every button.
  const refusal = toWard || command.is === 'unknown' ? await noPart(bot, caller) : null;
  if (refusal !== null) return caller.say(command.is === 'unknown' ? command.message : refusal);
  switch (command.is) {
    case 'menu':
      return showMenu(bot, caller);
    case 'unknown':
      return sayMeant(caller, command.message, await verbMeant(bot, caller, command));
    case 'verb':
      return onVerb(bot, caller, command.verb, command.rest);
  }
}

async function onVerb(bot: Bot, caller: Caller, verb: string, rest: string): Promise<void> {
  switch (verb) {
    case 'place':
      return rest.trim() === '' ? openScreening(bot, caller) : openPlace(bot, caller, rest);
    case 'attempt':
      return attemptTyped(bot, caller, rest);
    case 'risks':
      return risksCommand(bot, caller, rest);
    case 'mine':
      return showMine(bot, caller);
    case 'due':
      return showDue(bot, caller);
    case 'round':
      return showRounds(bot, caller);
    case 'handover':
      return handoverCommand(bot, caller, rest);
    case 'audit':
      return auditCommand(bot, caller, rest);
    case 'oncall':
      return onCallCommand(bot, caller, rest);
    case 'assign':
      return assignCommand(bot, caller, rest);
    case 'cover':
      return coverCommand(bot, caller, rest);
    case 'setup':
      return openSetUp(bot, caller);
    case 'policy':
      return rest === '' ? openPolicy(bot, caller) : policyTyped(bot, caller, rest);
    case 'export':
      return exportCommand(bot, caller, rest);
    case 'help': {
      const help = helpMessage(await helpGiven(bot, caller.wardId), rest);
      return caller.say(help.text, help.parts);
    }
    default:
      return onLineVerb(bot, caller, verb, rest);
  }
}

/** A verb about one line: the patient's name comes first, then what is recorded. Too few words open the form instead. */
async function onLineVerb(bot: Bot, caller: Caller, verb: string, rest: string): Promise<void> {
  const spec = lineVerb(verb);
  const { ward, lines } = await bot.deps.record.readWard(caller.wardId);
  const isTargets = verb === 'targets';
  const fitting = lines.filter((line) => (isTargets ? line.removed === null : fits(line, spec)));
  const found = findLine(rest, fitting, bot.command);
  const record = (what: LineVerb, about: { line: LineState; rest: string }) =>
    recordTyped(bot, caller, named(what, about.line, lines, bot.command), about.line, about.rest, ward);
  if (found.is === 'none') {
    // A line that is out keeps its name: say that it is out, rather than that there is none.
    const out = findLine(
      rest,
      lines.filter((line) => line.removed !== null),
      bot.command,
    );
    if (spec && spec.when !== 'out' && out.is === 'one') return record(spec, out);
    const { guess } = found;
    const meant = guess && {
      text: `${verb} ${guess.line.patient.name}`,
      value: { v: verb, l: guess.line.id, x: guess.rest },
    };
    return sayMeant(caller, found.message, meant ?? null);
  }
  if (found.is !== 'one') {
    const [only] = fitting;
    if (found.is === 'unnamed' && only && fitting.length === 1) {
      if (isTargets) return openTargets(bot, caller, only, ward);
      return spec ? openVerb(bot, caller, spec, only) : openAmend(bot, caller, only.id);
    }
    if (found.is === 'unnamed' && fitting.length === 0) return caller.say(found.message);
    return askWhich(caller, verb, found.is === 'which' ? found.lines : fitting, found.message);
  }
  if (isTargets) return targetsTyped(bot, caller, found.line, found.rest, ward);
  if (!spec && inErrorPattern.test(found.rest.trim())) return openInError(bot, caller, found.line.id);
  if (!spec) return openAmend(bot, caller, found.line.id);
  if (verb === 'moved' && found.rest === '' && foldWord(wordsOf(rest).at(-1) ?? '') === 'left') {
    const { name } = found.line.patient;
    const ask = `Has ${name} left the ward, or was the left line moved? After the name write “to theatre with @name”, or “moved”.`;
    return sayProblems(caller, spec, found.line, [ask]);
  }
  return record(spec, found);
}

/** What is typed after the name to say that there is no such line. */
const inErrorPattern = /^(registered |placed )?(in error|by mistake|in mistake|twice)$/iu;

/** What a verb that was not spelt right would do, where that is plain: about one line, or with nothing after it. */
async function verbMeant(
  bot: Bot,
  { wardId }: Caller,
  { suggestion: v, rest }: { suggestion?: string; rest?: string },
): Promise<Meant | null> {
  if (v === undefined || rest === undefined) return null;
  if (rest === '') return { text: v, value: { v } };
  const { lines } = await bot.deps.record.readWard(wardId);
  const spec = lineVerb(v);
  const found =
    spec &&
    findLine(
      rest,
      lines.filter((line) => fits(line, spec)),
      bot.command,
    );
  // A button carries ids: whom it is about must be known.
  return found?.is === 'one'
    ? { text: `${v} ${found.line.patient.name}`, value: { v, l: found.line.id, x: found.rest } }
    : null;
}

/** What a button does once it is said what was meant. */
interface Meant {
  text: string;
  value: Omit<ActionValue, 'w'>;
}

/** Says what was wrong, with the button that does what was probably meant. */
async function sayMeant(caller: Caller, message: string, meant: Meant | null): Promise<void> {
  const text = message;
  if (meant === null || (meant.value.x ?? '').length > room.typedAgain) return caller.say(text);
  const rest = meant.value.x ? ` ${meant.value.x}` : '';
  return caller.say(text, [
    paragraph(text),
    buttonRow('meant', [
      {
        action: 'done:meant',
        text: `Yes: ${meant.text}${rest}`,
        value: actionValue({ w: caller.wardId, ...meant.value }),
        primary: true,
      },
    ]),
  ]);
}

/** Yes to “Did you mean …?”: what was typed is done as if it had been typed so. */
export async function meantPressed(
  bot: Bot,
  caller: Caller,
  { l, v = '', x = '' }: ActionValue,
): Promise<void> {
  if (l === undefined) return onVerb(bot, caller, v, x);
  const { ward, lines } = await bot.deps.record.readWard(caller.wardId);
  const line = lines.find(({ id }) => id === l);
  if (!line) return caller.say('This line is not on record in this ward. Nothing was recorded.');
  const spec = lineVerb(v);
  if (v === 'targets') return targetsTyped(bot, caller, line, x, ward);
  if (!spec) return openAmend(bot, caller, line.id);
  return recordTyped(bot, caller, named(spec, line, lines, bot.command), line, x, ward);
}

/** The verb with an example of this very line: whoever types it as it stands records it of no other patient. */
function named(spec: LineVerb, line: LineState, lines: readonly LineState[], command: string): LineVerb {
  const { name } = line.patient;
  const isAlone = lines.filter(({ patient }) => foldAccents(patient.name) === foldAccents(name)).length < 2;
  const whose = isAlone ? name : `${name} ${placeWords(line)}`;
  return {
    ...spec,
    example: spec.example.replace('/artline', () => command).replace('Biscuit', () => whose),
  };
}

async function recordTyped(
  bot: Bot,
  caller: Caller,
  spec: LineVerb,
  line: LineState,
  rest: string,
  ward: WardState,
): Promise<void> {
  const { policy } = ward;
  const now = bot.deps.clock.now();
  if (rest.trim() === '' && !spec.bare) return openVerb(bot, caller, spec, line);
  const read = valuesFromWords(spec, rest, { now, zone: policy.shifts.zone });
  if ('problems' in read) return sayProblems(caller, spec, line, read.problems);
  const verdict = spec.drafts(read.values, line, policy);
  if ('problems' in verdict) {
    return sayProblems(
      caller,
      spec,
      line,
      verdict.problems.map(({ message }) => message),
    );
  }
  if (verdict.drafts.length === 0) return caller.say(notLookedWords(line, ward, now));
  const fault = await escortFault(bot, caller.wardId, verdict.drafts);
  if (fault !== null) return sayProblems(caller, spec, line, [fault]);
  const [first] = verdict.drafts;
  if (first?.kind === 'faultOpened') {
    const at = read.isTimeGiven ? read.at : undefined;
    return beginFault(bot, caller, line, { sign: first.body.sign, at, via: 'command' });
  }
  const outcome = await recordOnLines(
    bot.deps,
    {
      wardId: caller.wardId,
      by: caller.user,
      via: 'command',
      once: caller.once,
      ...(read.isTimeGiven ? { at: read.at } : {}),
    },
    verdict.drafts.map((draft) => ({ lineId: line.id, draft })),
  );
  const after = outcome.lines.get(line.id);
  if (spec.verb !== 'remove' || !after || !asksForTip(after)) return sayOutcome(bot, caller, outcome);
  const words = await outcomeWords(outcome, bot.names, bot.deps.clock.now());
  return caller.say(`${words} ${tipAsked}`, withTakeBack(words, outcome, tipParts(caller.wardId, after)));
}

async function sayProblems(
  caller: Caller,
  spec: LineVerb,
  line: LineState,
  problems: readonly string[],
): Promise<void> {
  const text = `Not recorded. ${problems.join(' ')}`;
  return caller.say(text, [
    paragraph(text),
    buttonRow(`retry:${line.id}`, [
      {
        action: `open:${spec.verb}:${line.id}`,
        text: 'Open the form',
        value: actionValue({ w: caller.wardId, l: line.id, v: spec.verb }),
      },
    ]),
  ]);
}

async function askWhich(
  caller: Caller,
  verb: string,
  lines: readonly LineState[],
  message: string,
): Promise<void> {
  // Lines that are in come first: those are what most is recorded of.
  const ordered = lines.toSorted((a, b) => Number(a.removed !== null) - Number(b.removed !== null));
  const left = ordered.length - mostChoices;
  const more = left > 0 ? ` ${left} more: write the name after the verb.` : '';
  const text = message + more;
  return caller.say(text, [
    paragraph(text),
    buttonRow(
      `which:${verb}`,
      ordered.slice(0, mostChoices).map((line) => ({
        action: `open:${verb}:${line.id}`,
        text: `${line.patient.name}, ${placeWords(line)}`,
        value: actionValue({ w: caller.wardId, l: line.id, v: verb }),
      })),
    ),
  ]);
}

function fits(line: LineState, spec: LineVerb | undefined): boolean {
  if (!spec) return true;
  if (spec.when === 'both') return line.removed === null || line.finding !== null;
  return (line.removed !== null) === (spec.when === 'out');
}
