import type { DutyKind } from '../../domain/duty-kind.ts';
import {
  type AgainFor,
  mostAgainChars,
  type RecurringFinding,
  recurringFindings,
} from '../../domain/policy/again-for.ts';
import { mayBeDanger } from '../../domain/policy/usual-urgency.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { cleanText, excerpt } from './clean-text.ts';
import { foldPhrase } from './fold-words.ts';

/** A policy changed by what was typed, or why it is not. Messages are plain text, not yet escaped. */
export type PolicyWords =
  | { is: 'changed'; policy: WardPolicy; says: string }
  | { is: 'wrong'; message: string };

/** What staff calls a duty; each name stands for one kind. */
const dutyNames: Partial<Record<string, DutyKind>> = {
  flush: 'flush',
  zero: 'zero',
  level: 'zero',
  test: 'test',
  source: 'source',
  bag: 'source',
  'run out': 'runOut',
  runout: 'runOut',
  site: 'site',
  check: 'site',
  pulse: 'pulse',
  'pulse next day': 'pulseNextDay',
  redress: 'redress',
  dressing: 'redress',
  fault: 'faultOpen',
  set: 'set',
};

const findingNames: Partial<Record<string, RecurringFinding>> = {
  'no pulse': 'noPulse',
  nopulse: 'noPulse',
  pulseless: 'noPulse',
  cold: 'cold',
  swelling: 'swelling',
  swollen: 'swelling',
  ooze: 'ooze',
  oozing: 'ooze',
  bleeding: 'ooze',
  pain: 'pain',
  painful: 'pain',
};

export const findingName = (finding: RecurringFinding) =>
  Object.keys(findingNames).find((name) => findingNames[name] === finding) ?? finding;

/** A ward's words as a form shows them: `cold: take it out`, a line each. */
export function againForText(againFor: AgainFor): string {
  return recurringFindings
    .flatMap((finding) =>
      againFor[finding] === undefined ? [] : [`${findingName(finding)}: ${againFor[finding]}`],
    )
    .join('\n');
}

/** The same read back; or what is wrong with it. */
export function againForTyped(text: string): { againFor: AgainFor } | { problem: string } {
  const againFor: AgainFor = {};
  for (const line of text.split('\n')) {
    const typed = cleanText(line);
    if (typed === '') continue;
    const read = againLine(typed);
    if ('problem' in read) return read;
    againFor[read.finding] = read.said;
  }
  return { againFor };
}

/** Reads `cold: take it out`. */
function againLine(text: string): { finding: RecurringFinding; said: string } | { problem: string } {
  const colon = text.indexOf(':');
  const typed = (colon === -1 ? text : text.slice(0, colon)).trim();
  const said = colon === -1 ? '' : text.slice(colon + 1).trim();
  const finding = findingNames[foldPhrase(typed).join(' ')];
  if (finding === undefined)
    return {
      problem: `“${excerpt(typed, 30)}” is no finding I know. Say which (${findings}), a colon, and what your ward does.`,
    };
  if (said === '')
    return {
      problem: `What does your ward do when ${findingName(finding)} comes back? Say it behind a colon.`,
    };
  if (said.length > mostAgainChars)
    return {
      problem: `“${excerpt(said, 30)}” is ${said.length} characters; a handover has room for ${mostAgainChars}. Say it shorter.`,
    };
  return { finding, said };
}

const nameOf = (kind: DutyKind) => Object.keys(dutyNames).find((name) => dutyNames[name] === kind) ?? kind;
const duties = () => mayBeDanger.map(nameOf).join(', ');
const findings = 'no pulse, cold, swelling, ooze or pain';

/**
 * Reads what follows `policy`: how urgent a duty is on this ward (`zero danger`, `site, redress care`), or what to do when a
 * finding comes back (`again cold: take it out`; `again cold: usual` takes the ward's words back).
 */
export function policyFromWords(rest: string, before: WardPolicy, command: string): PolicyWords {
  const text = cleanText(rest);
  return /^again\b/i.test(text) ? againWords(text.slice(5), before, command) : urgency(text, before, command);
}

function againWords(text: string, before: WardPolicy, command: string): PolicyWords {
  const read = againLine(text);
  if ('problem' in read)
    return {
      is: 'wrong',
      message: `${read.problem} For example: ${command} policy again cold: take it out, ring the surgeon`,
    };
  const { finding, said } = read;
  const { [finding]: _, ...others } = before.againFor;
  const isUsual = /^usual\.?$/i.test(said);
  return {
    is: 'changed',
    policy: { ...before, againFor: isUsual ? others : { ...others, [finding]: said } },
    says: `When ${findingName(finding)} comes back: ${isUsual ? 'the usual words' : said}.`,
  };
}

function urgency(text: string, before: WardPolicy, command: string): PolicyWords {
  const example = `${command} policy zero danger`;
  const match = /^(.*?)[\s:]+(?:is\s+)?(danger|care)\.?$/i.exec(text);
  if (!match)
    return {
      is: 'wrong',
      message: `Name the duty, then danger (wakes the clinician as soon as it’s due) or care: ${example}. Everything else of the policy is in the form: ${command} policy`,
    };
  const named = (match[1] ?? '').split(/,|\band\b/i).map((part) => foldPhrase(part).join(' '));
  const kinds: DutyKind[] = [];
  for (const name of named) {
    const kind = dutyNames[name];
    if (kind === undefined || !mayBeDanger.includes(kind))
      return {
        is: 'wrong',
        message: `“${excerpt(name, 30)}” is no duty whose urgency a ward sets. There are: ${duties()}. A finding, a fault left, a cat’s limit and a dangerously late flush always wake the clinician.`,
      };
    kinds.push(kind);
  }
  const isDanger = match[2]?.toLowerCase() === 'danger';
  const dangerFor = mayBeDanger.filter((kind) =>
    kinds.includes(kind) ? isDanger : before.dangerFor.includes(kind),
  );
  const names = kinds.map(nameOf).join(', ');
  return {
    is: 'changed',
    policy: { ...before, dangerFor },
    says: isDanger
      ? `Late ${names} wakes the clinician as soon as it’s due, at any hour.`
      : `Late ${names} is care: nurses first, a clinician in waking hours.`,
  };
}
