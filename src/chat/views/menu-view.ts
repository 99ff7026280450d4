import type { WardView } from '../../app/ports.ts';
import { dutiesOfLine } from '../../domain/duties/duties-of-line.ts';
import type { Duty } from '../../domain/duties/duty.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { onCallFor } from '../../domain/ward/on-call.ts';
import { capital, dutyName } from '../../wording/care/duty-words.ts';
import {
  animalWords,
  clockText,
  lateText,
  placeWords,
  standingCaution,
} from '../../wording/care/line-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type Form } from '../form.ts';
import { backButtons, joinButtons } from '../messages/move-buttons.ts';
import { buttonRow, divider, type Part, paragraph, paragraphBeside, smallPrint } from '../parts.ts';
import { pressureVerbs } from '../verbs/line-verbs.ts';

/** Lines shown with their own button; a view has room for 100 parts. */
const mostLines = 80;

/** What a bare `/artline` opens: register, every line with what is due next, and the ward's own business. */
export async function menuView(view: WardView, names: Names, now: number): Promise<Form> {
  const { ward, lines } = view;
  const value = actionValue({ w: ward.id });
  const ordered = lines
    .map((line) => ({ line, duties: dutiesOfLine(line, ward.policy, now) }))
    .sort(
      (a, b) =>
        (a.duties[0]?.dueAt ?? Number.MAX_SAFE_INTEGER) - (b.duties[0]?.dueAt ?? Number.MAX_SAFE_INTEGER),
    );
  const onCall = onCallFor(ward, now);
  const called = onCall
    ? `On call: ${await whoWords(onCall, names)}.`
    : rich`*Nobody is on call.* Set one below.`;
  const rows: Part[] = ordered.slice(0, mostLines).map(({ line, duties }) =>
    paragraphBeside(
      `line:${line.id}`,
      rich`*${line.patient.name}* · ${placeWords(line)}\n${dueWords(line, duties, ward.policy, now)}`,
      {
        action: `open:card:${line.id}`,
        text: 'Open',
        value: actionValue({ w: ward.id, l: line.id }),
        label: `Open ${line.patient.name}, ${placeWords(line)}`,
      },
    ),
  );
  return {
    id: 'menu',
    title: 'Arterial lines',
    close: 'Close',
    meta: value,
    parts: [
      buttonRow('menu:first', [
        ...(rows.length > 0 ? [{ action: 'open:mine', text: 'Mine, due now', value }] : []),
        ...(ward.policySet ? [] : [{ action: 'open:setup', text: 'Set this ward up…', value }]),
        { action: 'open:place', text: 'Register a line', value, primary: true },
        { action: 'open:attempt', text: 'Attempt failed…', value },
        { action: 'open:risks', text: 'For the owner…', value },
      ]),
      ...(rows.length > 0 ? rows : [paragraph('No arterial lines on this ward yet.')]),
      ...(ordered.length > mostLines
        ? [smallPrint(`${ordered.length - mostLines} more; /artline handover lists all.`)]
        : []),
      divider,
      paragraph(called),
      buttonRow('menu:ward', [
        { action: 'open:oncall', text: onCall ? 'Change who is on call…' : 'Put somebody on call…', value },
        { action: 'open:cover', text: 'Somebody is away…', value },
        { action: 'open:assign', text: 'Who has which line…', value },
        { action: 'open:round', text: 'Rounds of this shift', value },
        { action: 'open:handover', text: 'Hand over now', value },
        { action: 'open:handover:ward:paper', text: 'Handover on paper…', value },
        { action: 'open:audit', text: 'Audit…', value },
        { action: 'open:policy', text: 'Ward policy…', value },
        { action: 'open:export', text: 'Export the record…', value },
        { action: 'open:help', text: 'Help', value },
      ]),
      smallPrint(standingCaution),
    ],
  };
}

/** All that is late, each with how late it is; else what comes first. */
function dueWords(line: LineState, duties: readonly Duty[], policy: WardPolicy, now: number): string {
  const place = line.away
    ? `${capital(line.away.to === 'elsewhere' ? 'off the ward' : `in ${line.away.to}`)}. `
    : '';
  return place + dueOnlyWords(line, duties, policy, now);
}

function dueOnlyWords(line: LineState, duties: readonly Duty[], policy: WardPolicy, now: number): string {
  const [first] = duties;
  if (line.removed && !first)
    return `Taken out ${clockText(policy, line.removed.at, now)}, nothing left to do`;
  if (!first) return 'Nothing due';
  if (first.dueAt > now) return `${capital(dutyName(first.kind))} ${clockText(policy, first.dueAt, now)}`;
  const late = duties.filter(({ dueAt }) => dueAt <= now);
  const each = [...Map.groupBy(late, ({ dueAt }) => lateText(dueAt, now))].map(
    ([how, mine]) => `${mine.map(({ kind }) => dutyName(kind)).join(', ')}, ${how}`,
  );
  return rich`*${capital(each.join('; '))}*`;
}

/** The verbs a line's page offers, in the order of how often they are needed. */
const lineVerbs: readonly { verb: string; text: string; when: 'in' | 'out' | 'both' }[] = [
  { verb: 'flush', text: 'Flush…', when: 'in' },
  { verb: 'zero', text: 'Zero…', when: 'in' },
  { verb: 'level', text: 'Level…', when: 'in' },
  { verb: 'test', text: 'Fast-flush test…', when: 'in' },
  { verb: 'reading', text: 'Reading…', when: 'in' },
  { verb: 'fault', text: 'Something is wrong…', when: 'in' },
  { verb: 'sample', text: 'Sample…', when: 'in' },
  { verb: 'check', text: 'Site check…', when: 'both' },
  { verb: 'redress', text: 'Redress…', when: 'in' },
  { verb: 'source', text: 'Flush source…', when: 'in' },
  { verb: 'targets', text: 'Targets…', when: 'in' },
  { verb: 'moved', text: 'Moved, or off the ward…', when: 'in' },
  { verb: 'transducer', text: 'Transducer off…', when: 'in' },
  { verb: 'pulse', text: 'Pulse check…', when: 'out' },
  { verb: 'remove', text: 'Line taken out…', when: 'in' },
  { verb: 'assign', text: 'Give to a nurse…', when: 'both' },
  { verb: 'amend', text: 'Put something right…', when: 'both' },
];

/** Verbs of a line on a transducer; a capped one is offered what joins it to one. */
const ofTransducer: ReadonlySet<string> = new Set([...pressureVerbs, 'transducer']);

/** One line's page: how it stands, what is due with its buttons, and every verb a tap away. */
export function lineView(
  wardId: string,
  line: WardView['lines'][number],
  body: { facts: string; due: Part[] },
): Form {
  const capped = isCapped(line);
  const offered = lineVerbs.filter(
    ({ verb, when }) =>
      (when === 'both' || (when === 'out') === (line.removed !== null)) &&
      !(capped && ofTransducer.has(verb)),
  );
  return {
    id: 'line',
    title: 'Arterial line',
    close: 'Back',
    meta: actionValue({ w: wardId, l: line.id }),
    parts: [
      paragraph(
        rich`*${line.patient.name}* · ${animalWords(line)} · ${placeWords(line)}, ${line.gauge} G\n${body.facts}`,
      ),
      ...body.due,
      divider,
      buttonRow('line:verbs', [
        ...backButtons(wardId, line),
        ...joinButtons(wardId, line),
        ...offered.map(({ verb, text }) => ({
          action: `open:${verb}:${line.id}`,
          text,
          value: actionValue({ w: wardId, l: line.id, v: verb }),
        })),
        {
          action: `open:another:${line.id}`,
          text: 'Another line for this animal…',
          value: actionValue({ w: wardId, l: line.id }),
        },
      ]),
      smallPrint(standingCaution),
    ],
  };
}
