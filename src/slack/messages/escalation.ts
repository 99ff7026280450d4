import type { Post, WardView } from '../../app/ports.ts';
import { dutyKinds } from '../../domain/duties/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { nurseOf, onCallAt } from '../../domain/ward/on-call.ts';
import { actionValue } from '../action-value.ts';
import type { Names } from '../names.ts';
import { escaped, quoted } from '../text.ts';
import { listed, riskWords } from '../wording/duty-words.ts';
import { findingWords } from '../wording/finding-words.ts';
import {
  animalWords,
  clockText,
  lineWords,
  placeWords,
  spanText,
  standingCaution,
} from '../wording/line-words.ts';
import {
  dutyButtons,
  type Item,
  isOpen,
  itemsOf,
  itemText,
  type OpenItem,
  openWords,
} from './asked-items.ts';
import { actions, context, type MessageBody, section } from './blocks.ts';
import { byLine } from './nudge.ts';

/**
 * An overdue duty, by direct message. The first line alone, as a lock screen shows it, says which patient, what, how
 * late, what it risks and whom it is with.
 */
export async function escalationMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<MessageBody> {
  const { ward } = view;
  const toClinician = post.about?.what === 'clinician';
  const items = itemsOf(post, view, now);
  const open = items.filter(isOpen);
  const lead = await Promise.all(
    [...byLine(open)].map(([, mine]) => leadWords(mine, post, view, names, toClinician)),
  );
  const blocks: MessageBody['blocks'] = [];
  for (const [line, mine] of byLine(items)) {
    const stillOpen = mine.filter(isOpen);
    const risks = [...new Set(stillOpen.map(({ asked }) => riskWords(asked.kind)))];
    const texts = await Promise.all(mine.map((item) => itemText(item, view, names, now)));
    const nurse = nurseOf(ward, line);
    const facts = [
      `*${escaped(line.patient.name)}* · ${animalWords(line)} · ${placeWords(line)}`,
      ...texts,
      ...(risks.length > 0 ? [`Risk: ${risks.join('; ')}.`] : []),
      `With ${await names.of(nurse)}. Ward <#${ward.id.split('.')[1]}>.`,
    ];
    blocks.push(section(facts.join('\n')));
    const claimed = stillOpen.every(({ status }) => status.claimed !== undefined);
    const d = stillOpen.map(({ asked }) => [asked.kind, asked.dueAt] as [Item['asked']['kind'], number]);
    const value = actionValue({ w: ward.id, l: line.id, d });
    const claim = {
      action: `claim:${line.id}`,
      text: `I take it: ${ward.policy.claimMin} min`,
      value,
      label: `${line.patient.name}: I take it`,
    };
    const buttons = dutyButtons(ward.id, line, stillOpen, view);
    if (stillOpen.length > 0) {
      const own = toClinician
        ? [
            ...(claimed ? [] : [claim]),
            ...buttons.filter(({ action }) => !/^(later|cannot|open:letgo)/.test(action)),
            {
              action: `open:letgo:${line.id}`,
              text: 'Let it go…',
              value,
              label: `${line.patient.name}: let it go`,
            },
          ]
        : buttons;
      blocks.push(actions(`duties:${line.id}`, own));
    }
  }
  if (open.length === 0) {
    const texts = await Promise.all(items.map((item) => itemText(item, view, names, now)));
    const settledText = items
      .map(({ line }, index) => `${escaped(line.patient.name)}: ${texts[index]?.slice(2)}`)
      .join(' ');
    return { text: `Settled. ${settledText}`, blocks: [section('*Settled*'), ...blocks], settled: true };
  }
  return {
    text: lead.join(' '),
    blocks: [section(`*${lead.join(' ')}*`), ...blocks, ...(toClinician ? [context(standingCaution)] : [])],
    settled: false,
  };
}

/** One line's part of the first line: what is worst first, each with how late it is, then what that risks. */
async function leadWords(
  mine: readonly OpenItem[],
  post: Post,
  view: WardView,
  names: Names,
  toClinician: boolean,
): Promise<string> {
  const [first] = mine;
  if (!first) return '';
  const { ward } = view;
  const { line } = first;
  const lateness = ({ asked }: OpenItem) => {
    const lateMs = post.at - asked.dueAt;
    return lateMs < 60_000
      ? `due ${clockText(ward.policy, asked.dueAt, post.at)}`
      : `${spanText(lateMs)} late`;
  };
  const worstFirst = mine.toSorted(
    (a, b) => dutyKinds.indexOf(a.asked.kind) - dutyKinds.indexOf(b.asked.kind),
  );
  const what = [...Map.groupBy(worstFirst, lateness)].map(([late, items]) => `${openWords(items)}, ${late}`);
  const cannot = worstFirst.map(({ status }) => status.cannot).find(Boolean);
  const why = cannot ? ` Nurse could not: ${quoted(cannot.reason)}.` : '';
  const risk = worstFirst[0] ? riskWords(worstFirst[0].asked.kind) : '';
  const withWhom = toClinician ? ` With ${await names.of(nurseOf(ward, line))}.` : '';
  return `${lineWords(line)}: ${what.join('; ')}.${why} Risk: ${risk}.${withWhom}`;
}

/** What was seen at `at` (ms) at the site or below it; a finding may have been put right since. */
export function findingSeen(line: LineState, at: number): string {
  const seen = [
    ...(line.siteFinding?.at === at ? [findingWords(line.siteFinding.finding, line.site)] : []),
    ...(line.pulse?.at === at ? [`pulse ${line.pulse.pulse}${line.pulse.cold ? ', cold' : ''}`] : []),
  ];
  return seen.length > 0 ? listed(seen) : 'finding since corrected';
}

/** A finding at the site or the limb, told the moment it was told. */
export async function findingMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<MessageBody> {
  const line = view.lines[0];
  if (!line) return { text: 'A finding on a line that is not on record.', blocks: [], settled: true };
  const what = findingSeen(line, post.about?.for ?? post.at);
  const who = await names.of(post.about?.user ?? line.nurse);
  const at = clockText(view.ward.policy, post.about?.for ?? post.at, now);
  const text = `${lineWords(line)}, ${animalWords(line)}: ${what}. Seen ${at} by ${who}. Look at the limb now.`;
  const nobody =
    post.to === 'ward' && onCallAt(view.ward, now) === null
      ? ' Nobody is on call: set one with /artline oncall @name.'
      : '';
  return {
    text: text + nobody,
    blocks: [
      section(`*${text}*${nobody}`),
      actions(`finding:${line.id}`, [
        {
          action: `open:card:${line.id}`,
          text: 'Open the line',
          value: actionValue({ w: view.ward.id, l: line.id }),
        },
      ]),
      context(standingCaution),
    ],
    settled: true,
  };
}
