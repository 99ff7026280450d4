import type { WardView } from '../../app/ports.ts';
import type { Asked } from '../../domain/duties/duty-status.ts';
import { faultWaiting } from '../../domain/duties/fault-half-way.ts';
import { usualDraft } from '../../domain/duties/usual-draft.ts';
import { isClinicians, isDwell } from '../../domain/duty-kind.ts';
import { laterMinOf, type WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { allDoneRecords, allDoneText, claimsOf } from '../../wording/care/claim-words.ts';
import { doneWords } from '../../wording/care/duty-words.ts';
import { flushedWords } from '../../wording/care/fluid-words.ts';
import type { ButtonOf } from '../parts.ts';
import type { Item } from './asked-items.ts';
import { buttonsOf, type LineButton, type OfLine } from './line-button.ts';

type Kind = Asked['kind'];

/** Duties as a button carries them: what, and when it was due (ms). */
export const carried = (items: readonly Item[]) =>
  items.map(({ asked }) => [asked.kind, asked.dueAt] as [Kind, number]);

/**
 * The buttons for what is still open of one line. What a press writes follows from the duty: "done" says done and
 * nothing amiss; where only a form can say what was done, it opens that form.
 */
export function dutyButtons(
  wardId: string,
  line: LineState,
  open: readonly Item[],
  { ward }: WardView,
): ButtonOf[] {
  const button = buttonsOf(wardId, line);
  // A finding or a fault is not done, put off or left undone like care: somebody looks again, or a clinician decides.
  const others = open.filter(({ asked }) => !isClinicians(asked.kind));
  const care = careButtons(button, line, others, ward.policy);
  return [...findingButtons(button, line, open), ...faultButtons(button, line, open, care), ...care];
}

/** What the one button for all of it would record, where the button alone does not say it; empty where it does. */
export function recordsWords(line: LineState, open: readonly Item[], { ward }: WardView): string[] {
  const kinds = open.map(({ asked }) => asked.kind);
  const words = allDoneRecords(claimsOf(kinds, line, ward.policy));
  return words === '' ? [] : [words];
}

function findingButtons(button: LineButton, line: LineState, open: readonly Item[]): ButtonOf[] {
  const again = open.find(({ asked }) => asked.kind === 'finding');
  if (!again) return [];
  const found = line.tipMissing
    ? [
        button(`done:tip:${line.id}:found`, 'Piece found', {
          v: 'found',
          label: 'the missing piece of the catheter was found',
        }),
      ]
    : [];
  if (line.tipMissing && !line.finding) return found;
  const [verb, text, label] = line.finding
    ? ['check', 'Looked again…', 'site and limb looked at again']
    : ['reading', 'Read again…', 'pressure read again'];
  return [button(`open:${verb}:${line.id}:finding`, text, { d: carried([again]), v: verb, label }), ...found];
}

/** The path again, and the line out where nothing else here offers that. */
function faultButtons(
  button: LineButton,
  line: LineState,
  open: readonly Item[],
  care: readonly ButtonOf[],
): ButtonOf[] {
  const left = open.find(({ asked }) => asked.kind === 'fault');
  if (!left || !line.faultLeft) return [];
  const d = carried([left]);
  const again = button(`open:fault:${line.id}:again`, 'Try again…', {
    d,
    v: 'fault',
    q: [line.faultLeft.sign],
    label: 'look for the fault again',
  });
  const out = button(`open:remove:${line.id}`, 'Taken out…', { d, v: 'remove', label: 'taken out' });
  return care.some(({ action }) => action === out.action) ? [again] : [again, out];
}

function careButtons(
  button: LineButton,
  line: LineState,
  open: readonly Item[],
  policy: WardPolicy,
): ButtonOf[] {
  if (open.length === 0) return [];
  const done = [
    ...doneButtons(button, line, open, policy),
    ...halfWayButtons(button, line, open),
    ...nowAndThenButtons(button, line, open),
    ...formButtons(button, line, open),
  ];
  if (!open.some(({ asked }) => isDwell(asked.kind)))
    return [...done, ...undoneButtons(button, line, open, policy)];
  const keep = button(`open:letgo:${line.id}`, 'Clinician: keep it in…', {
    d: carried(open),
    label: 'clinician keeps it in',
  });
  return [...done, keep, ...besideDwellButtons(button, line, open)];
}

/** One tap for all that a tap can say of this line. */
function doneButtons(
  button: LineButton,
  line: LineState,
  open: readonly Item[],
  policy: WardPolicy,
): ButtonOf[] {
  const kinds = kindsOf(open);
  if (!kinds.some(hasTap)) return [];
  const [only] = kinds;
  const text =
    kinds.length > 1 || only === undefined
      ? allDoneText(claimsOf(kinds, line, policy))
      : only === 'flush'
        ? flushedWords(line, policy)
        : doneWords(only);
  return [button(`done:${line.id}`, text, { d: carried(open), primary: true })];
}

/** A fault that was left half way: its path where it was left, or its end where the trace is right again. */
function halfWayButtons(button: LineButton, line: LineState, open: readonly Item[]): ButtonOf[] {
  const d = carried(open.filter(({ asked }) => asked.kind === 'faultOpen'));
  const fault = faultWaiting(line);
  if (d.length === 0 || !fault) return [];
  const of: OfLine = { d, v: 'fault', q: [fault.sign] };
  return [
    button(`open:fault:${line.id}:on`, 'Fault: go on…', { ...of, label: 'go on with the fault' }),
    button(`done:solved:${line.id}`, 'Fault solved', { ...of, label: 'the fault is solved' }),
  ];
}

/** What is neither done nor left undone: the line is needed on, the puncture oozes on. */
function nowAndThenButtons(button: LineButton, line: LineState, open: readonly Item[]): ButtonOf[] {
  const kinds = kindsOf(open);
  const hold = open.filter(({ asked }) => asked.kind === 'hold');
  return [
    ...(kinds.includes('stillNeeded')
      ? [button(`done:needed:${line.id}`, 'Still needed', { d: carried(open), label: 'still needed' })]
      : []),
    ...(hold.length > 0
      ? [
          button(`done:oozing:${line.id}`, 'Still oozing: hold again', {
            d: carried(hold),
            label: 'still oozing, held again',
          }),
        ]
      : []),
  ];
}

function formButtons(button: LineButton, line: LineState, open: readonly Item[]): ButtonOf[] {
  const kinds = kindsOf(open);
  return formsFor(kinds).map(({ verb, text, among }) =>
    button(`open:${verb}:${line.id}`, kinds.length === 1 ? text : among, { d: carried(open), v: verb }),
  );
}

/** What else waits of a line whose dwell is asked of can be told in part, or that it cannot be done; dwell itself can do neither. */
function besideDwellButtons(button: LineButton, line: LineState, open: readonly Item[]): ButtonOf[] {
  const d = carried(open.filter(({ asked }) => !isDwell(asked.kind)));
  if (d.length === 0) return [];
  return [
    ...(kindsOf(open).some(hasTap) ? [button(`earlier:${line.id}`, 'Some, or earlier…', { d })] : []),
    button(`cannot:${line.id}`, 'Cannot…', { d, label: 'cannot do what else waits' }),
  ];
}

/** What was done earlier or in part, put off, or could not be done. */
function undoneButtons(
  button: LineButton,
  line: LineState,
  open: readonly Item[],
  policy: WardPolicy,
): ButtonOf[] {
  const d = carried(open);
  const kinds = kindsOf(open);
  const laterMin = Math.min(...kinds.map((kind) => laterMinOf(policy, kind)));
  const isPutOff = open.some(({ status }) => status.is === 'open' && status.putOff);
  const earlier = kinds.length === 1 ? 'Done earlier…' : 'Some, or earlier…';
  const isHold = kinds.length === 1 && kinds[0] === 'hold';
  return [
    ...(kinds.some(hasTap) ? [button(`earlier:${line.id}`, earlier, { d })] : []),
    ...(laterMin > 0 && !isPutOff
      ? [button(`later:${line.id}`, `Later: ${laterMin} min`, { d, label: `${laterMin} minutes later` })]
      : []),
    ...(isHold ? [] : [button(`cannot:${line.id}`, 'Cannot…', { d, label: 'cannot' })]),
  ];
}

function kindsOf(open: readonly Item[]): Kind[] {
  return [...new Set(open.map(({ asked }) => asked.kind))];
}

function hasTap(kind: Kind): boolean {
  return usualDraft(kind) !== null;
}

/** Where a finding or a number must be recorded instead of "done": the verb whose form the button opens. */
const formFor: Partial<Record<Kind, FormButton>> = {
  dwellLimit: { verb: 'remove', text: 'Taken out…', among: 'Taken out…' },
  dwellWarning: { verb: 'remove', text: 'Taken out…', among: 'Taken out…' },
  stillNeeded: { verb: 'remove', text: 'Taken out…', among: 'Taken out…' },
  runOut: { verb: 'source', text: 'Source changed…', among: 'Source changed…' },
  set: { verb: 'source', text: 'Set changed…', among: 'Set changed…' },
  test: { verb: 'test', text: 'Not normal…', among: 'Test not normal…' },
  site: { verb: 'check', text: 'Found something…', among: 'Site: found something…' },
  redress: { verb: 'redress', text: 'Found something…', among: 'Site: found something…' },
  pulse: { verb: 'pulse', text: 'Weak or no pulse…', among: 'Weak or no pulse…' },
  pulseNextDay: { verb: 'pulse', text: 'Weak or no pulse…', among: 'Weak or no pulse…' },
};

/** `text` where it is the only duty asked, `among` where it must say which of several it means. */
interface FormButton {
  verb: string;
  text: string;
  among: string;
}

/** One button a form; a redress records what was seen at the site, so the check's own form is not offered beside it. */
function formsFor(kinds: readonly Kind[]): FormButton[] {
  const asked = kinds.filter((kind) => kind !== 'site' || !kinds.includes('redress'));
  const forms = asked.flatMap((kind) => formFor[kind] ?? []);
  return forms.filter(({ verb }, index) => forms.findIndex((form) => form.verb === verb) === index);
}
