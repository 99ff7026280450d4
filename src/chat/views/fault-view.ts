import type { KnownBlock, ModalView } from '@slack/web-api';
import { fault as faultVerb } from '../../app/verbs/fault.ts';
import type { FaultSign } from '../../domain/fault/fault-questions.ts';
import { answersGiven, type FaultAsk, nextQuestion } from '../../domain/fault/next-question.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import type { Fault, LineState } from '../../domain/record/line-state.ts';
import { actionValue } from '../action-value.ts';
import { actions, type ButtonSpec, context, section, sections } from '../messages/blocks.ts';
import { escaped } from '../text.ts';
import { capital, doneWords } from '../wording/duty-words.ts';
import { signWords } from '../wording/fault-words.ts';
import { placeWords, standingCaution } from '../wording/line-words.ts';

/** What every page of a fault is drawn from. `remark`: a sentence about the press just made; `back`: what takes it back. */
export interface FaultPage {
  wardId: string;
  line: LineState;
  clock: (atMs: number) => string;
  remark?: string;
  back?: ButtonSpec;
}

function page({ wardId, line, remark, back }: FaultPage, blocks: readonly KnownBlock[]): ModalView {
  return {
    type: 'modal',
    callback_id: 'fault',
    title: { type: 'plain_text', text: 'Something is wrong' },
    close: { type: 'plain_text', text: 'Back' },
    private_metadata: actionValue({ w: wardId, l: line.id }),
    blocks: [
      ...(remark ? [section(`*${remark}*`)] : []),
      ...blocks,
      ...(back ? [actions(`back:${line.id}`, [back])] : []),
      context(standingCaution),
    ],
  };
}

function who(line: LineState): string {
  return `*${escaped(line.patient.name)}* · ${placeWords(line)}`;
}

/** Asks what the trace does; a fault that is open is gone on with. */
export function faultChoiceView(given: FaultPage): ModalView {
  const { wardId, line, clock } = given;
  const [sign] = faultVerb.fields;
  const capped = isCapped(line);
  const all = sign?.kind === 'choice' ? sign.options : [];
  // Without a transducer there is no trace to be wrong.
  const options = capped ? all.filter(({ value }) => value === 'blocked') : all;
  const open = new Map(line.faults.filter(({ closedAt }) => closedAt === null).map((one) => [one.sign, one]));
  return page(given, [
    section(
      `${who(line)}\n${capped ? 'It is capped, so it has no trace.' : 'What does the trace do?'} Look at the patient while you press.`,
    ),
    actions(
      `signs:${line.id}`,
      options.map(({ value, label }) => {
        const standing = open.get(value as FaultSign);
        return {
          action: `open:fault:${line.id}:${value}`,
          text: standing ? `${label} (go on, since ${clock(standing.at)})` : label,
          value: actionValue({ w: wardId, l: line.id, v: 'fault', q: [value as FaultSign] }),
        };
      }),
    ),
  ]);
}

/** The question an open fault asks now, what was answered so far, and the two ways out. */
export function faultQuestionView(given: FaultPage, fault: Fault, asked: FaultAsk): ModalView {
  const { wardId, line, clock } = given;
  const { question, isFixed, number, of, step } = asked;
  const answerButton = (id: string, text: string): ButtonSpec => ({
    action: `done:answer:${line.id}:${id.replaceAll(' ', '-')}`,
    text,
    value: actionValue({ w: wardId, l: line.id, q: [fault.sign, step, id] }),
  });
  const isLast = number === of;
  const choices = isFixed
    ? [
        answerButton('solved', 'Yes, it is solved'),
        answerButton('not yet', `No, still ${signWords(fault.sign)}`),
      ]
    : question.answers.map(({ id, words }) => answerButton(id, words));
  const so = answersGiven(fault.sign, fault.steps).map(({ told }) => `• ${capital(told)}`);
  return page(given, [
    section(`${who(line)} · fault ${signWords(fault.sign)} since ${clock(fault.at)}`),
    section(
      `*Step ${number} of ${of}: ${question.place}*\n${isFixed ? 'Look at the trace. Is it as it should be now?' : question.asks}`,
    ),
    ...(question.caution && !isFixed ? [section(`*${question.caution}*`)] : []),
    actions(`answers:${line.id}`, choices),
    ...(isFixed ? [] : [context(`Why: ${question.why} (${question.source})`)]),
    ...(isLast ? [context('The last step: if it finds nothing, I tell the clinician on call.')] : []),
    ...(so.length > 0 ? [{ type: 'divider' as const }, ...sections(['*So far*', ...so])] : []),
    { type: 'divider' },
    actions(`ways:${line.id}`, [
      {
        action: `done:solved:${line.id}`,
        text: 'It is solved',
        value: actionValue({ w: wardId, l: line.id, q: [fault.sign] }),
      },
      {
        action: `done:left:${line.id}`,
        text: 'Stop here: not solved, tell the clinician',
        value: actionValue({ w: wardId, l: line.id, q: [fault.sign] }),
      },
      {
        action: `open:fault:${line.id}:choose`,
        text: 'Another sign…',
        value: actionValue({ w: wardId, l: line.id, v: 'fault' }),
      },
    ]),
  ]);
}

/** How a fault's path ended. `next`: who hears of it, or what is due now; `isZeroDue`: whether to offer it here. */
export function faultEndView(given: FaultPage, fault: Fault, next: string, isZeroDue: boolean): ModalView {
  const { wardId, line, clock } = given;
  const end = nextQuestion(fault.sign, fault.steps);
  const found = end.is === 'end' && end.because ? ` ${capital(end.because.told)}.` : '';
  const at = clock(fault.closedAt ?? fault.at);
  const so = answersGiven(fault.sign, fault.steps).map(({ told }) => `• ${capital(told)}`);
  const value = actionValue({ w: wardId, l: line.id });
  const buttons: ButtonSpec[] = [
    ...(fault.resolved && isZeroDue
      ? [{ action: `done:zero:${line.id}`, text: doneWords('zero'), value, primary: true }]
      : []),
    ...(fault.resolved
      ? []
      : [
          {
            action: `open:fault:${line.id}:again`,
            text: 'Try again…',
            value: actionValue({ w: wardId, l: line.id, v: 'fault', q: [fault.sign] }),
          },
        ]),
  ];
  return page(given, [
    section(
      `${who(line)} · fault ${signWords(fault.sign)} of ${clock(fault.at)}\n*${fault.resolved ? 'Resolved' : 'Not resolved'} ${at}.*${found} ${next}`,
    ),
    ...(so.length > 0 ? sections(['*Looked at*', ...so]) : []),
    ...(buttons.length > 0 ? [actions(`ended:${line.id}`, buttons)] : []),
  ]);
}
