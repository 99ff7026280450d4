import type { KnownBlock } from '@slack/web-api';
import { excerpt } from '../../app/words/clean-text.ts';
import { foldWord, wordsOf } from '../../app/words/fold-words.ts';
import { nearestWord } from '../../app/words/nearest-word.ts';
import { commandVerbs } from '../../app/words/parse-command.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { actionValue } from '../action-value.ts';
import type { Screen } from '../help/screen.ts';
import { practiceOf, screenGroups, screenOf } from '../help/screens.ts';
import { usualChanges } from '../help/usual-changes.ts';
import { actions, type ButtonSpec, button, context, section } from '../messages/blocks.ts';
import { wholeText } from '../messages/whole-message.ts';
import { escaped } from '../text.ts';
import { changeWords } from '../views/practise-view.ts';
import { clockText, standingCaution } from '../wording/line-words.ts';

/** What help is given for: whose ward, how the command is called there, by which policy, at what time (ms). */
export interface HelpGiven {
  wardId: string;
  command: string;
  policy: WardPolicy;
  now: number;
}

export interface Help {
  text: string;
  blocks: KnownBlock[];
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
  return helpList(given, `No verb is called “${escaped(excerpt(typed))}”.${guess}`);
}

/** Every verb in its group, each with a way to its own screen. */
export function helpList({ wardId, command }: HelpGiven, remark?: string): Help {
  const first = `Type ${command} alone and tap. Words after it are a shortcut, never needed: the verb, the patient’s name, values with their unit, and a time where it was not now (“at 02:10”, “20 min ago”). *Learn* shows what a verb is for and lets you practise it on an invented patient.`;
  const blocks: KnownBlock[] = [
    ...(remark === undefined ? [] : [section(`*${remark}*`)]),
    section(first),
    ...screenGroups.flatMap(({ title, screens }) => [
      section(`*${title}*`),
      ...screens.map(({ verb, title: name }) => ({
        ...section(verb === name.toLowerCase() ? name : `${name} · \`${verb}\``),
        block_id: `help:${verb}`,
        accessory: button({
          action: `open:learn:${verb}`,
          text: 'Learn',
          value: actionValue({ w: wardId, v: verb }),
          label: `Learn: ${name}`,
        }),
      })),
    ]),
    context(standingCaution),
  ];
  return { text: wholeText(remark ?? 'Help.', blocks).replaceAll('`', ''), blocks };
}

/** One verb's screen: what it is for, when and how it is told, what follows, what goes wrong. */
export function screenHelp(given: HelpGiven, screen: Screen): Help {
  const { wardId, command, policy, now } = given;
  const own = (text: string) => text.replaceAll('/artline', command);
  const { verb, title, practise, caution } = screen;
  const value = actionValue({ w: wardId, v: verb });
  const follows = usualChanges(screen, policy, now);
  const clock = (atMs: number) => clockText(policy, atMs, now);
  const then = [
    ...(screen.after === undefined ? [] : [screen.after]),
    ...(follows
      ? [
          `On a line like Pebble’s, an invented one, worked out from this ward’s policy:\n${changeWords({ ...follows, clock }).join('\n')}`,
        ]
      : []),
  ];
  const buttons: ButtonSpec[] = [
    ...(practiceOf(verb) === undefined
      ? []
      : [{ action: `open:practise:${verb}`, text: 'Practise this', value, primary: true }]),
    { action: 'open:help', text: 'All verbs', value },
  ];
  const blocks: KnownBlock[] = [
    section(`*${title}:* ${screen.does}.`),
    section(`*Why:* ${screen.why}`),
    section(`*When:* ${screen.when}`),
    section(`*By thumb:* ${own(screen.thumb)}\n*By typing:* \`${escaped(own(screen.example))}\``),
    ...(then.length > 0 ? [section(`*What follows:* ${own(then.join('\n'))}`)] : []),
    section(`*What goes wrong:*\n${screen.wrong.map((one) => `• ${one}`).join('\n')}`),
    ...(caution === undefined ? [] : [section(`*${caution}*`)]),
    actions(`learn:${verb}`, buttons),
    context(
      `${typeof practise === 'string' ? '' : `Not practised here: ${practise.no} `}${isTrade(screen) ? 'What names no source is common practice. ' : ''}${standingCaution}`,
    ),
  ];
  return { text: wholeText('Help.', blocks).replaceAll('`', ''), blocks };
}

/** Whether a screen speaks of care, and so owes a source or the word that there is none. */
function isTrade({ verb, usual }: Screen): boolean {
  return usual !== undefined || ['place', 'attempt', 'policy'].includes(verb);
}
