import type { Post, WardView } from '../../app/ports.ts';
import { dutiesOfLine, isClosed } from '../../domain/duties/duties-of-line.ts';
import { type Asked, type DutyStatus, dutyStatus } from '../../domain/duties/duty-status.ts';
import { dwellLimitAt } from '../../domain/duties/dwell.ts';
import { faultWaiting } from '../../domain/duties/fault-half-way.ts';
import { usualDraft } from '../../domain/duties/usual-draft.ts';
import { dutyKinds, isClinicians } from '../../domain/duty-kind.ts';
import { stampOf } from '../../domain/ladder/steps.ts';
import { isCapped, needsTransducer } from '../../domain/level/transducer.ts';
import { partBelow } from '../../domain/line/anatomy.ts';
import { laterMinOf, type WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { hourMs, minuteMs } from '../../domain/time.ts';
import { actionValue } from '../action-value.ts';
import type { Names } from '../names.ts';
import { type ButtonOf } from '../parts.ts';
import { rich } from '../rich-text.ts';
import { quoted } from '../shorten.ts';
import { allDoneRecords, allDoneText, claimsOf } from '../wording/claim-words.ts';
import { capital, doneWords, dutyName, riskWords } from '../wording/duty-words.ts';
import { faultLeftWords, openFaultWords } from '../wording/fault-words.ts';
import { alarmRiskWords, alarmSeen, alarmWords } from '../wording/finding-words.ts';
import { flushedWords } from '../wording/fluid-words.ts';
import { clockText, lateText, placeWords, spanText } from '../wording/line-words.ts';
import { beforeRemovalWords, keepCatheterWords } from '../wording/removal-words.ts';

/** One asked-for duty and how it stands. */
export interface Item {
  asked: Asked;
  line: LineState;
  status: DutyStatus;
}

/**
 * The duties a post asks for, as they stand now, with their lines: the line with the gravest first, then by name. The
 * order is that of what was asked, so that nothing moves under a thumb when one of them is done.
 */
export function itemsOf(post: Post, { ward, lines }: WardView, now: number): Item[] {
  const byId = new Map(lines.map((line) => [line.id, line]));
  const items = post.asked.flatMap((asked) => {
    const line = byId.get(asked.lineId);
    return line ? [{ asked, line, status: dutyStatus(line, ward.policy, asked, post.at, now) }] : [];
  });
  const place = (line: LineState) => `${line.patient.name} ${placeWords(line)} ${line.id}`;
  return [...Map.groupBy(items, ({ line }) => line)]
    .map(([line, mine]) => ({ line, mine: mine.toSorted((a, b) => gravity(a) - gravity(b)) }))
    .sort(
      (a, b) => gravity(a.mine[0]) - gravity(b.mine[0]) || place(a.line).localeCompare(place(b.line), 'en'),
    )
    .flatMap(({ mine }) => mine);
}

function gravity(item: Item | undefined): number {
  return item ? dutyKinds.indexOf(item.asked.kind) : dutyKinds.length;
}

/** What leaving a duty undone risks. */
export function riskOf({ asked, line }: Item, policy: WardPolicy): string {
  return asked.kind === 'finding' ? alarmRiskWords(line, policy) : riskWords(asked.kind);
}

/** `flush, 20 min late; zero and level, 5 min late`: what is open of one line, as late as it was at `at` (ms). */
export function lateWords(open: readonly Item[], at: number, { ward }: WardView): string {
  const lateness = ({ asked: { kind, dueAt }, line }: Item) => {
    if (isClinicians(kind)) return theirsWords(kind, line, at, ward.policy);
    if (kind === 'dwellWarning')
      return `limit ${clockText(ward.policy, dwellLimitAt(line, ward.policy), at)}`;
    if (kind === 'dwellLimit' && dueAt < at + minuteMs) {
      return at - dueAt < minuteMs ? 'reached now' : `passed ${spanText(at - dueAt)} ago`;
    }
    return dueAt >= at + minuteMs ? `due ${clockText(ward.policy, dueAt, at)}` : lateText(dueAt, at);
  };
  return [...Map.groupBy(open, lateness)]
    .map(([late, items]) =>
      items.every(({ asked }) => isClinicians(asked.kind)) ? late : `${openWords(items)}, ${late}`,
    )
    .join('; ');
}

/** `swelling, seen 03:10`, or the fault that was left: what a clinician must look at. */
export function theirsWords(kind: Asked['kind'], line: LineState, now: number, policy: WardPolicy): string {
  if (kind === 'fault') return faultLeftWords(line, (atMs) => clockText(policy, atMs, now));
  return `${alarmWords(line, policy)}, seen ${clockText(policy, alarmSeen(line, policy)?.at ?? now, now)}`;
}

/** Longest by which an entry may be ahead of the message that goes with it, and then some, ms. */
const aheadMs = 2.5 * minuteMs;

/** When all that is open here was told to the clinician, or cried out, anew by a later message; null when it was not. */
export function repeatedAt(open: readonly OpenItem[], post: Post): number | null {
  const times = open.map(({ line, asked }) => {
    const words = line.marks[asked.kind]?.clinician;
    return words ? stampOf(words) : 0;
  });
  return times.length > 0 && times.every((at) => at > post.at + aheadMs) ? Math.max(...times) : null;
}

/** A duty that still waits. */
export interface OpenItem extends Item {
  status: Extract<DutyStatus, { is: 'open' }>;
}

export function isOpen(item: Item): item is OpenItem {
  return item.status.is === 'open';
}

/** A message about what is done stands this long for amendments, which may make it open again; ms of ward time. */
export const keptForAmendmentsMs = 2 * hourMs;

/** Whether a message that asked for these can be let go of: nothing is open, and nothing is likely to open it again. */
export function areSettled(items: readonly Item[], post: Post, { ward }: WardView, now: number): boolean {
  if (items.some(isOpen)) return false;
  const isOver = ({ line }: Item) => line.inError === null && isClosed(line, ward.policy, now);
  return now - post.at >= keptForAmendmentsMs || items.every(isOver);
}

/** One line of text: what, when due, and how it stands. */
export async function itemText(
  { asked, line, status }: Item,
  view: WardView,
  names: Names,
  now: number,
): Promise<string> {
  const clock = (atMs: number) => clockText(view.ward.policy, atMs, now);
  const what = capital(dutyName(asked.kind, line));
  switch (status.is) {
    case 'open': {
      const seen = asked.kind === 'finding' ? alarmSeen(line, view.ward.policy) : null;
      const theirs = asked.kind === 'fault' ? line.faultLeft : seen;
      const seenBy = theirs ? ` by ${await names.of(theirs.by)}` : '';
      const said = [
        status.cannot && `${await names.of(status.cannot.by)} could not: ${quoted(status.cannot.reason)}`,
        status.claimed &&
          `taken by ${await names.of(status.claimed.by)} until ${clock(status.claimed.until)}`,
        status.putOff && `put off until ${clock(status.putOff.until)} by ${await names.of(status.putOff.by)}`,
      ].filter(Boolean);
      const hint = dwellHint(asked, line, view, clock);
      const waiting = asked.kind === 'faultOpen' ? faultWaiting(line) : undefined;
      if (waiting) {
        const begun = rich`*${capital(openFaultWords(waiting, clock))}*, begun by ${await names.of(waiting.by)} and left: go on, or say how it ended`;
        return `• ${begun}.${said.length > 0 ? ` ${capital(said.join('; '))}.` : ''}`;
      }
      const comesOut = asked.kind === 'dwellLimit' || asked.kind === 'stillNeeded';
      const cautions = comesOut ? beforeRemovalWords(line, view.ward.policy) : [];
      const asks = isClinicians(asked.kind)
        ? rich`*${capital(theirsWords(asked.kind, line, now, view.ward.policy))}*${seenBy}: needs looking at now${asked.kind === 'finding' && line.tipMissing ? `. ${keepCatheterWords}` : ''}`
        : rich`*${what}*, due ${clock(status.duty.dueAt)}${hint}`;
      return [`• ${asks}${said.length > 0 ? `. ${capital(said.join('; '))}.` : ''}`, ...cautions].join('\n');
    }
    case 'done':
      if (asked.kind === 'finding')
        return `• Finding: looked at again ${clock(status.done.at)} by ${await names.of(status.done.by)}, nothing amiss.`;
      if (asked.kind === 'fault')
        return `• Line fault: resolved ${clock(status.done.at)}, recorded by ${await names.of(status.done.by)}.`;
      if (asked.kind === 'faultOpen')
        return `• Line fault: ${faultWaiting(line) ? 'gone on with' : 'closed'} ${clock(status.done.at)} by ${await names.of(status.done.by)}.`;
      return `• ${what}: done ${clock(status.done.at)} by ${await names.of(status.done.by)}.`;
    case 'let go':
      return `• ${what}: let go until ${clock(status.until)} by ${await names.of(status.by)}: ${quoted(status.reason)}.`;
    case 'in error':
      return `• ${what}: no such line, registered in error (${await names.of(status.done.by)}, ${clock(status.done.at)}).`;
    case 'line out':
      return `• ${what}: line taken out ${clock(status.done.at)}.`;
    case 'over':
      return `• ${what}: ${overWords(asked.kind, line, view.ward.policy, now)}.`;
  }
}

function overWords(kind: Asked['kind'], line: LineState, policy: WardPolicy, now: number): string {
  if (isCapped(line) && needsTransducer(kind)) return 'not owed, the line is capped';
  if (kind === 'dwellWarning') return 'over, the limit counts now';
  if (kind === 'finding') {
    const isAnew = dutiesOfLine(line, policy, now).some((duty) => duty.kind === 'finding');
    const stands = line.finding || line.tipMissing;
    if (isAnew) return 'reported again since';
    if (stands) return 'no longer asked here';
    return line.removed?.pieceFound ? 'every piece found' : 'since corrected';
  }
  if (kind === 'faultOpen') return 'since corrected';
  if (kind === 'fault') return line.faultLeft ? 'reported again since' : 'since corrected';
  return 'no longer asked';
}

/** What a cat's dwell asks for: the one duty whose name does not say it. */
function dwellHint(
  asked: Asked,
  line: LineState,
  { ward }: WardView,
  clock: (atMs: number) => string,
): string {
  if (asked.kind === 'dwellLimit')
    return `: taken out, unless a clinician keeps it in. Feel the pulse of the ${partBelow(line.site)} before and after`;
  if (asked.kind !== 'dwellWarning') return '';
  return `: the limit is ${clock(line.placed.at + ward.policy.catDwellLimitH * 60 * minuteMs)}`;
}

/** The plain words of the items of one line: `flush, site and limb check`. */
export function openWords(items: readonly Item[]): string {
  return [...new Set(items.map(({ asked, line }) => dutyName(asked.kind, line)))].join(', ');
}

/**
 * The buttons for what is still open of one line. What a press writes follows from the duty: "done" says done and
 * nothing amiss; where only a form can say what was done, it opens that form.
 */
export function dutyButtons(
  wardId: string,
  line: LineState,
  open: readonly Item[],
  view: WardView,
): ButtonOf[] {
  // A finding or a fault is not done, put off or left undone like care: somebody looks again, or a clinician decides.
  const others = open.filter(({ asked }) => !isClinicians(asked.kind));
  const care = careButtons(wardId, line, others, view);
  return [...findingButtons(wardId, line, open), ...faultButtons(wardId, line, open, care), ...care];
}

/** What the one button for all of it would record, where the button alone may not show it; empty where it does. */
export function recordsWords(line: LineState, open: readonly Item[], { ward }: WardView): string[] {
  const kinds = open.map(({ asked }) => asked.kind);
  const words = allDoneRecords(claimsOf(kinds, line, ward.policy));
  return words === '' ? [] : [words];
}

function findingButtons(wardId: string, line: LineState, open: readonly Item[]): ButtonOf[] {
  const again = open.find(({ asked }) => asked.kind === 'finding');
  if (!again) return [];
  const found: ButtonOf[] = line.tipMissing
    ? [
        {
          action: `done:tip:${line.id}:found`,
          text: 'Piece found',
          value: actionValue({ w: wardId, l: line.id, v: 'found' }),
          label: `${line.patient.name}: the missing piece of the catheter was found`,
        },
      ]
    : [];
  if (line.tipMissing && !line.finding) return found;
  const verb = line.finding ? 'check' : 'reading';
  const look: ButtonOf = {
    action: `open:${verb}:${line.id}:finding`,
    text: verb === 'check' ? 'Looked again…' : 'Read again…',
    value: actionValue({
      w: wardId,
      l: line.id,
      d: [[again.asked.kind, again.asked.dueAt]],
      v: verb,
    }),
    label: `${line.patient.name}: ${verb === 'check' ? 'site and limb looked at' : 'pressure read'} again`,
  };
  return [look, ...found];
}

/** The path again, and the line out where nothing else here offers that. */
function faultButtons(
  wardId: string,
  line: LineState,
  open: readonly Item[],
  care: readonly ButtonOf[],
): ButtonOf[] {
  const left = open.find(({ asked }) => asked.kind === 'fault');
  const name = line.patient.name;
  if (!left || !line.faultLeft) return [];
  const d = [[left.asked.kind, left.asked.dueAt]] as [Asked['kind'], number][];
  const again: ButtonOf = {
    action: `open:fault:${line.id}:again`,
    text: 'Try again…',
    value: actionValue({ w: wardId, l: line.id, d, v: 'fault', q: [line.faultLeft.sign] }),
    label: `${name}: look for the fault again`,
  };
  const out: ButtonOf = {
    action: `open:remove:${line.id}`,
    text: 'Taken out…',
    value: actionValue({ w: wardId, l: line.id, d, v: 'remove' }),
    label: `${name}: taken out`,
  };
  return care.some(({ action }) => action === out.action) ? [again] : [again, out];
}

function careButtons(wardId: string, line: LineState, open: readonly Item[], view: WardView): ButtonOf[] {
  if (open.length === 0) return [];
  const { policy } = view.ward;
  const d = open.map(({ asked }) => [asked.kind, asked.dueAt] as [Asked['kind'], number]);
  const value = actionValue({ w: wardId, l: line.id, d });
  const kinds = [...new Set(open.map(({ asked }) => asked.kind))];
  const name = line.patient.name;
  const buttons: ButtonOf[] = [];
  const one = kinds.length === 1 ? kinds[0] : undefined;
  const quick = kinds.filter((kind) => usualDraft(kind) !== null);
  if (one && quick.length === 1) {
    const doneText = one === 'flush' ? flushedWords(line, policy) : doneWords(one);
    buttons.push({
      action: `done:${line.id}`,
      text: doneText,
      value,
      primary: true,
      label: `${name}: ${doneText}`,
    });
  } else if (quick.length > 0) {
    const text = allDoneText(claimsOf(kinds, line, policy));
    buttons.push({ action: `done:${line.id}`, text, value, primary: true, label: `${name}: ${text}` });
  }
  buttons.push(...halfWayButtons(wardId, line, d));
  if (kinds.includes('stillNeeded')) {
    buttons.push({
      action: `done:needed:${line.id}`,
      text: 'Still needed',
      value,
      label: `${name}: still needed`,
    });
  }
  if (kinds.includes('hold')) {
    buttons.push({
      action: `done:oozing:${line.id}`,
      text: 'Still oozing: hold again',
      value: actionValue({ w: wardId, l: line.id, d: d.filter(([kind]) => kind === 'hold') }),
      label: `${name}: still oozing, held again`,
    });
  }
  for (const form of formsFor(kinds)) {
    buttons.push({
      action: `open:${form.verb}:${line.id}`,
      text: one ? form.text : form.among,
      value: actionValue({ w: wardId, l: line.id, d, v: form.verb }),
      label: `${name}: ${one ? form.text : form.among}`,
    });
  }
  if (kinds.includes('dwellLimit') || kinds.includes('dwellWarning')) {
    buttons.push({
      action: `open:letgo:${line.id}`,
      text: 'Clinician: keep it in…',
      value,
      label: `${name}: clinician keeps it in`,
    });
    // What else waits of this line can still be recorded in part, or that it cannot be done; dwell itself can do neither.
    const others = d.filter(([kind]) => kind !== 'dwellLimit' && kind !== 'dwellWarning');
    if (others.length === 0) return buttons;
    const rest = actionValue({ w: wardId, l: line.id, d: others });
    const text = 'Some, or earlier…';
    return [
      ...buttons,
      ...(quick.length > 0
        ? [{ action: `earlier:${line.id}`, text, value: rest, label: `${name}: ${text}` }]
        : []),
      {
        action: `cannot:${line.id}`,
        text: 'Cannot…',
        value: rest,
        label: `${name}: cannot do what else waits`,
      },
    ];
  }
  if (quick.length > 0) {
    const text = kinds.length === 1 ? 'Done earlier…' : 'Some, or earlier…';
    buttons.push({ action: `earlier:${line.id}`, text, value, label: `${name}: ${text}` });
  }
  const later = Math.min(...kinds.map((kind) => laterMinOf(policy, kind)));
  if (later > 0 && !open.some(({ status }) => status.is === 'open' && status.putOff)) {
    buttons.push({
      action: `later:${line.id}`,
      text: `Later: ${later} min`,
      value,
      label: `${name}: ${later} minutes later`,
    });
  }
  if (one !== 'hold')
    buttons.push({ action: `cannot:${line.id}`, text: 'Cannot…', value, label: `${name}: cannot` });
  return buttons;
}

/** A fault that was left half way: its path where it was left, or its end where the trace is right again. */
function halfWayButtons(wardId: string, line: LineState, open: [Asked['kind'], number][]): ButtonOf[] {
  const d = open.filter(([kind]) => kind === 'faultOpen');
  const fault = faultWaiting(line);
  if (d.length === 0 || !fault) return [];
  const value = actionValue({ w: wardId, l: line.id, d, v: 'fault', q: [fault.sign] });
  const name = line.patient.name;
  return [
    {
      action: `open:fault:${line.id}:on`,
      text: 'Fault: go on…',
      value,
      label: `${name}: go on with the fault`,
    },
    {
      action: `done:solved:${line.id}`,
      text: 'Fault solved',
      value,
      label: `${name}: the fault is solved`,
    },
  ];
}

/** Where a finding or a number must be recorded instead of "done": the verb whose form the button opens. */
const formFor: Partial<Record<Asked['kind'], FormButton>> = {
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
function formsFor(kinds: readonly Asked['kind'][]): FormButton[] {
  const asked = kinds.filter((kind) => kind !== 'site' || !kinds.includes('redress'));
  const forms = asked.flatMap((kind) => formFor[kind] ?? []);
  return forms.filter(({ verb }, index) => forms.findIndex((form) => form.verb === verb) === index);
}
