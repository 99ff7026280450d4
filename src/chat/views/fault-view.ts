import type { FaultSign } from '../../domain/fault/fault-questions.ts';
import { answersGiven, type FaultAsk, nextQuestion } from '../../domain/fault/next-question.ts';
import { isCapped } from '../../domain/level/transducer.ts';
import type { Fault, LineState } from '../../domain/record/line-state.ts';
import { capital, doneWords } from '../../wording/care/duty-words.ts';
import { placeWords, standingCaution } from '../../wording/care/line-words.ts';
import { answerSaid, questionWords } from '../../wording/faults/fault-question-words.ts';
import { signWords } from '../../wording/faults/fault-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type Form } from '../form.ts';
import { type ButtonOf, buttonRow, divider, type Part, paragraph, paragraphs, smallPrint } from '../parts.ts';
import { fault as faultVerb } from '../verbs/fault.ts';

/** What every page of a fault is drawn from. `remark`: a sentence about the press just made; `back`: what takes it back. */
export interface FaultPage {
  wardId: string;
  line: LineState;
  clock: (atMs: number) => string;
  remark?: string;
  back?: ButtonOf;
}

function page({ wardId, line, remark, back }: FaultPage, parts: readonly Part[]): Form {
  return {
    id: 'fault',
    title: 'Something is wrong',
    close: 'Back',
    meta: actionValue({ w: wardId, l: line.id }),
    parts: [
      ...(remark ? [paragraph(rich`*${remark}*`)] : []),
      ...parts,
      ...(back ? [buttonRow(`back:${line.id}`, [back])] : []),
      smallPrint(standingCaution),
    ],
  };
}

function who(line: LineState): string {
  return rich`*${line.patient.name}* · ${placeWords(line)}`;
}

/** Asks what the trace does; a fault that is open is gone on with. */
export function faultChoiceView(given: FaultPage): Form {
  const { wardId, line, clock } = given;
  const [sign] = faultVerb.fields;
  const capped = isCapped(line);
  const all = sign?.kind === 'choice' ? sign.options : [];
  // Without a transducer there is no trace to be wrong.
  const options = capped ? all.filter(({ value }) => value === 'blocked') : all;
  const open = new Map(line.faults.filter(({ closedAt }) => closedAt === null).map((one) => [one.sign, one]));
  return page(given, [
    paragraph(
      `${who(line)}\n${capped ? 'It is capped, so it has no trace.' : 'What does the trace do?'} Look at the patient while you press.`,
    ),
    buttonRow(
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

/** What was answered, a line each. */
function answeredSoFar({ sign, steps }: Fault): string[] {
  return answersGiven(sign, steps).map((one) => `• ${capital(answerSaid(sign, one))}`);
}

/** The question an open fault asks now, what was answered so far, and the two ways out. */
export function faultQuestionView(given: FaultPage, fault: Fault, asked: FaultAsk): Form {
  const { wardId, line, clock } = given;
  const { question, isFixed, number, of, step } = asked;
  const words = questionWords(fault.sign, question.id);
  const answerButton = (id: string, text: string): ButtonOf => ({
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
    : question.answers.map(({ id }) => answerButton(id, words.answers[id]?.[0] ?? id));
  const so = answeredSoFar(fault);
  return page(given, [
    paragraph(`${who(line)} · fault ${signWords(fault.sign)} since ${clock(fault.at)}`),
    paragraph(
      rich`*Step ${number} of ${of}: ${question.place}*\n${isFixed ? 'Look at the trace. Is it as it should be now?' : words.asks}`,
    ),
    ...(words.caution && !isFixed ? [paragraph(rich`*${words.caution}*`)] : []),
    buttonRow(`answers:${line.id}`, choices),
    ...(isFixed ? [] : [smallPrint(`Why: ${words.why} (${words.source})`)]),
    ...(isLast ? [smallPrint('The last step: if it finds nothing, I tell the clinician on call.')] : []),
    ...(so.length > 0 ? [divider, ...paragraphs([rich`*So far*`, ...so])] : []),
    divider,
    buttonRow(`ways:${line.id}`, [
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
export function faultEndView(given: FaultPage, fault: Fault, next: string, isZeroDue: boolean): Form {
  const { wardId, line, clock } = given;
  const end = nextQuestion(fault.sign, fault.steps);
  const found = end.is === 'end' && end.because ? ` ${capital(answerSaid(fault.sign, end.because))}.` : '';
  const at = clock(fault.closedAt ?? fault.at);
  const so = answeredSoFar(fault);
  const value = actionValue({ w: wardId, l: line.id });
  const buttons: ButtonOf[] = [
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
    paragraph(
      rich`${who(line)} · fault ${signWords(fault.sign)} of ${clock(fault.at)}\n*${fault.resolved ? 'Resolved' : 'Not resolved'} ${at}.*${found} ${next}`,
    ),
    ...(so.length > 0 ? paragraphs([rich`*Looked at*`, ...so]) : []),
    ...(buttons.length > 0 ? [buttonRow(`ended:${line.id}`, buttons)] : []),
  ]);
}
