import type { Post, WardView } from '../../app/ports.ts';
import { dutiesOfLine, isClosed } from '../../domain/duties/duties-of-line.ts';
import { type Asked, type DutyStatus, dutyStatus } from '../../domain/duties/duty-status.ts';
import { dwellLimitAt } from '../../domain/duties/dwell.ts';
import { faultWaiting } from '../../domain/duties/fault-half-way.ts';
import { marksOn } from '../../domain/duties/marks-on.ts';
import { dutyKinds, isClinicians } from '../../domain/duty-kind.ts';
import { stampOf } from '../../domain/ladder/steps.ts';
import { isCapped, needsTransducer } from '../../domain/level/transducer.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { hourMs, minuteMs } from '../../domain/time.ts';
import { capital, dutyName, letGoWords, riskWords } from '../../wording/care/duty-words.ts';
import { alarmRiskWords, alarmSeen, alarmWords } from '../../wording/care/finding-words.ts';
import { clockText, lateText, placeWords, spanText } from '../../wording/care/line-words.ts';
import { partBelow } from '../../wording/care/part-below.ts';
import { beforeRemovalWords, keepCatheterWords } from '../../wording/care/removal-words.ts';
import { faultLeftWords, openFaultWords } from '../../wording/faults/fault-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { quoted } from '../../wording/shorten.ts';

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

/** When a line's lateness in a message made at `madeAt` is reckoned, ms: anew once something was struck out or put right since. */
export function lateAsOf({ amendedAt }: LineState, madeAt: number): number {
  return Math.max(madeAt, amendedAt ?? 0);
}

/** `flush, 20 min late; zero and level, 5 min late`: what is open of one line, as late as when the message was made (ms). */
export function lateWords(open: readonly Item[], madeAt: number, { ward }: WardView): string {
  const lateness = ({ asked: { kind, dueAt }, line }: Item) => {
    const at = lateAsOf(line, madeAt);
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
  const told = open.map(({ line, asked }) => {
    const words = line.marks[asked.kind]?.clinician;
    return words ? stampOf(words) : 0;
  });
  return told.length > 0 && told.every((at) => at > post.at + aheadMs) ? Math.max(...told) : null;
}

/** When a later round asked for it again, ms; null where none did. */
export function askedAgainAt({ line, status }: OpenItem, post: Post): number | null {
  const at = marksOn(line, status.duty).nudged?.at ?? 0;
  return at > post.at + aheadMs ? at : null;
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
        const begun = rich`*${capital(openFaultWords(waiting, clock))}*, begun by ${await names.of(waiting.by)} and left: carry on, or say how it ended`;
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
      if (isClinicians(asked.kind) || asked.kind === 'dwellLimit')
        return decidedText(asked.kind, status, names, clock);
      return `• ${what}: let go until ${clock(status.until)} by ${await names.of(status.by)}: ${quoted(status.reason)}.`;
    case 'in error':
      return `• ${what}: no such line, registered in error (${await names.of(status.done.by)}, ${clock(status.done.at)}).`;
    case 'line out':
      return `• ${what}: line taken out ${clock(status.done.at)}.`;
    case 'over': {
      const kept = asked.kind === 'dwellWarning' ? line.marks.dwellLimit?.waived : undefined;
      if (kept && kept.until > now) return decidedText('dwellLimit', kept, names, clock);
      return `• ${what}: ${overWords(asked.kind, line, view.ward.policy, now)}.`;
    }
  }
}

/** What a clinician decided who is asked again later: `Line kept in by Dr Holm, asked again 14:00: “transfusion”.` */
async function decidedText(
  kind: Asked['kind'],
  { by, until, reason }: { by: string; until: number; reason: string },
  names: Names,
  clock: (atMs: number) => string,
): Promise<string> {
  return `• ${capital(letGoWords(kind))} by ${await names.of(by)}, asked again ${clock(until)}: ${quoted(reason)}.`;
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
  const isDue = dutiesOfLine(line, policy, now).some((duty) => duty.kind === kind && duty.dueAt <= now);
  return isDue ? 'asked for anew since' : 'no longer asked';
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
