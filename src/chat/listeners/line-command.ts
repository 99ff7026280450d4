import { isMove } from '../../app/animal-moves.ts';
import { recordOnLines } from '../../app/record-on-lines.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { placeWords } from '../../wording/care/line-words.ts';
import { actionValue } from '../action-value.ts';
import { notLookedWords, outcomeWords } from '../answers/outcome-words.ts';
import { withTakeBack } from '../answers/take-back.ts';
import type { Bot, Caller } from '../bot.ts';
import { escortFault } from '../named-person.ts';
import { buttonRow, paragraph } from '../parts.ts';
import { type FoundLine, findLine } from '../typed/find-line.ts';
import { foldAccents, foldWord, wordsOf } from '../typed/fold-words.ts';
import { valuesFromWords } from '../typed/verb-words.ts';
import { fitsVerb, lineVerb } from '../verbs/line-verbs.ts';
import type { LineVerb } from '../verbs/verb.ts';
import { openAmend, openInError } from './amend.ts';
import { beginFault } from './fault.ts';
import { openVerb } from './open-form.ts';
import { sayMeant } from './say-meant.ts';
import { sayOutcome } from './say-outcome.ts';
import { openTargets, targetsTyped } from './targets.ts';
import { asksForTip, tipAsked, tipParts } from './tip.ts';

/** Buttons offered when a name fits several lines, or none was given. */
const mostChoices = 8;

/** A verb about one line: the patient's name comes first, then what is recorded. Too few words open the form instead. */
export async function onLineVerb(bot: Bot, caller: Caller, verb: string, rest: string): Promise<void> {
  const spec = lineVerb(verb);
  const { ward, lines } = await bot.deps.record.readWard(caller.wardId);
  const isTargets = verb === 'targets';
  const fitting = lines.filter((line) => (isTargets ? line.removed === null : fitsVerb(line, spec)));
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
    const any = found.is === 'which' ? anyOfOneAnimal(found) : null;
    if (any && isTargets) return targetsTyped(bot, caller, any.line, any.rest, ward);
    if (any && spec && saysWhereItIs(any, spec, ward, bot.deps.clock.now())) return record(spec, any);
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

/** Any of these lines, where all are one animal's: what is said of the animal is said of each. */
function anyOfOneAnimal({
  lines,
  rest,
  noneThere,
}: FoundLine<LineState> & { is: 'which' }): { line: LineState; rest: string } | null {
  const [line] = lines;
  const animal = line?.animal?.id;
  const isOne = animal !== undefined && lines.every((one) => one.animal?.id === animal);
  return line && isOne && !noneThere ? { line, rest } : null;
}

/** Whether the words say only where the patient itself goes: all its lines go with it. */
function saysWhereItIs(
  { line, rest }: { line: LineState; rest: string },
  spec: LineVerb,
  { policy }: WardState,
  now: number,
): boolean {
  const read = valuesFromWords(spec, rest, { now, zone: policy.shifts.zone });
  const verdict = 'problems' in read ? read : spec.drafts(read.values, line, policy);
  return 'drafts' in verdict && verdict.drafts.length > 0 && verdict.drafts.every(isMove);
}

/** What is typed after the name to say that there is no such line. */
const inErrorPattern = /^(registered |placed )?(in error|by mistake|in mistake|twice)$/iu;

/** The verb with an example of this very line: whoever types it as it stands records it of no other patient. */
export function named(
  spec: LineVerb,
  line: LineState,
  lines: readonly LineState[],
  command: string,
): LineVerb {
  const { name } = line.patient;
  const isAlone = lines.filter(({ patient }) => foldAccents(patient.name) === foldAccents(name)).length < 2;
  const whose = isAlone ? name : `${name} ${placeWords(line)}`;
  return {
    ...spec,
    example: spec.example.replace('/artline', () => command).replace('Biscuit', () => whose),
  };
}

/** Records what was typed of a line, opens what must be asked first, or says what was wrong with it. */
export async function recordTyped(
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
