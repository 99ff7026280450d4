import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { changeWords } from '../../wording/care/change-words.ts';
import { clockText, standingCaution } from '../../wording/care/line-words.ts';
import { rich, richText, withoutTyped } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import type { Screen } from '../help/screen.ts';
import { practiceOf, screenGroups, screenOf } from '../help/screens.ts';
import { usualChanges } from '../help/usual-changes.ts';
import { type ButtonOf, buttonRow, type Part, paragraph, paragraphBeside, smallPrint } from '../parts.ts';
import { excerpt } from '../typed/clean-text.ts';
import { foldWord, wordsOf } from '../typed/fold-words.ts';
import { nearestWord } from '../typed/nearest-word.ts';
import { commandVerbs } from '../typed/parse-command.ts';
import { wholeText } from '../whole-text.ts';

/** What help is given for: whose ward, how the command is called there, by which policy, at what time (ms). */
export interface HelpGiven {
  wardId: string;
  command: string;
  policy: WardPolicy;
  now: number;
}

export interface Help {
  text: string;
  parts: readonly Part[];
}

/** Help for what was typed after the verb: one verb's screen, or the list, with the nearest verb for a word that is none. */
export function helpMessage(given: HelpGiven, rest: string): Help {
  const typed = wordsOf(rest)[0];
  if (typed === undefined) return helpList(given);
  const word = foldWord(typed);
  const screen = screenOf(word);
  if (screen) return screenHelp(given, screen);
  const near = nearestWord(word, commandVerbs);
  const guess = near === undefined ? '' : ` Did you mean ${given.command} help ${near}?`;
  return helpList(given, `No verb is called “${excerpt(typed)}”.${guess}`);
}

/** Every verb in its group, each with a way to its own screen. */
export function helpList({ wardId, command }: HelpGiven, remark?: string): Help {
  const first = rich`Type ${command} alone and tap. Words after it are a shortcut, never needed: the verb, the patient’s name, values with their unit, and a time where it was not now (“at 02:10”, “20 min ago”). *Learn* shows what a verb is for and lets you practise it on an invented patient.`;
  const parts: Part[] = [
    ...(remark === undefined ? [] : [paragraph(rich`*${remark}*`)]),
    paragraph(first),
    ...screenGroups.flatMap(({ title, screens }) => [
      paragraph(rich`*${title}*`),
      ...screens.map(({ verb, title: name }) =>
        paragraphBeside(`help:${verb}`, verb === name.toLowerCase() ? name : rich`${name} · \`${verb}\``, {
          action: `open:learn:${verb}`,
          text: 'Learn',
          value: actionValue({ w: wardId, v: verb }),
          label: `Learn: ${name}`,
        }),
      ),
    ]),
    smallPrint(standingCaution),
  ];
  return { text: withoutTyped(wholeText(remark ?? 'Help.', parts)), parts };
}

/** One verb's screen: what it is for, when and how it is recorded, what follows, what goes wrong. */
export function screenHelp(given: HelpGiven, screen: Screen): Help {
  const { wardId, command, policy, now } = given;
  const own = (text: string) => text.replaceAll('/artline', command);
  const { verb, title, practise, caution } = screen;
  const value = actionValue({ w: wardId, v: verb });
  const follows = usualChanges(screen, policy, now);
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const then = [
    ...(screen.after === undefined ? [] : [richText(screen.after)]),
    ...(follows
      ? [
          `On a line like Pebble’s, an invented one, worked out from this ward’s policy:\n${changeWords({ ...follows, clock }).join('\n')}`,
        ]
      : []),
  ];
  const buttons: ButtonOf[] = [
    ...(practiceOf(verb) === undefined
      ? []
      : [{ action: `open:practise:${verb}`, text: 'Practise this', value, primary: true }]),
    { action: 'open:help', text: 'All verbs', value },
  ];
  const parts: Part[] = [
    paragraph(rich`*${title}:* ${richText(screen.does)}.`),
    paragraph(rich`*Why:* ${richText(screen.why)}`),
    paragraph(rich`*When:* ${richText(screen.when)}`),
    paragraph(rich`*By thumb:* ${richText(own(screen.thumb))}\n*By typing:* \`${own(screen.example)}\``),
    ...(then.length > 0 ? [paragraph(rich`*What follows:* ${own(then.join('\n'))}`)] : []),
    paragraph(rich`*What goes wrong:*\n${screen.wrong.map((one) => `• ${richText(one)}`).join('\n')}`),
    ...(caution === undefined ? [] : [paragraph(rich`*${richText(caution)}*`)]),
    buttonRow(`learn:${verb}`, buttons),
    smallPrint(
      `${typeof practise === 'string' ? '' : `Not practised here: ${richText(practise.no)} `}${isTrade(screen) ? 'What names no source is common practice. ' : ''}${standingCaution}`,
    ),
  ];
  return { text: withoutTyped(wholeText('Help.', parts)), parts };
}

/** Whether a screen speaks of care, and so owes a source or the word that there is none. */
function isTrade({ verb, usual }: Screen): boolean {
  return usual !== undefined || ['place', 'attempt', 'policy'].includes(verb);
}
