import type { Post, WardView } from '../../app/ports.ts';
import { type Asked, type DutyStatus, dutyStatus } from '../../domain/duties/duty-status.ts';
import { usualTelling } from '../../domain/duties/usual-telling.ts';
import { laterMinOf } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { actionValue } from '../action-value.ts';
import type { Names } from '../names.ts';
import { quoted } from '../text.ts';
import { capital, doneWords, dutyName } from '../wording/duty-words.ts';
import { clockText } from '../wording/line-words.ts';
import type { ButtonSpec } from './blocks.ts';

/** One asked-for duty and how it stands. */
export interface Item {
  asked: Asked;
  line: LineState;
  status: DutyStatus;
}

/** The duties a post asks for, as they stand now, with their lines. */
export function itemsOf(post: Post, { ward, lines }: WardView, now: number): Item[] {
  const byId = new Map(lines.map((line) => [line.id, line]));
  return post.asked.flatMap((asked) => {
    const line = byId.get(asked.lineId);
    return line ? [{ asked, line, status: dutyStatus(line, ward.policy, asked, post.at, now) }] : [];
  });
}

/** A duty that still waits. */
export interface OpenItem extends Item {
  status: Extract<DutyStatus, { is: 'open' }>;
}

export function isOpen(item: Item): item is OpenItem {
  return item.status.is === 'open';
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
      const said = [
        status.cannot && `${await names.of(status.cannot.by)} could not: ${quoted(status.cannot.reason)}`,
        status.claimed &&
          `taken by ${await names.of(status.claimed.by)} until ${clock(status.claimed.until)}`,
        status.putOff && `put off until ${clock(status.putOff.until)} by ${await names.of(status.putOff.by)}`,
      ].filter(Boolean);
      return `• *${what}*, due ${clock(status.duty.dueAt)}${said.length > 0 ? `. ${capital(said.join('; '))}.` : ''}`;
    }
    case 'done':
      return `• ${what}: done ${clock(status.done.at)} by ${await names.of(status.done.by)}.`;
    case 'let go':
      return `• ${what}: let go until ${clock(status.until)} by ${await names.of(status.by)}: ${quoted(status.reason)}.`;
    case 'line out':
      return `• ${what}: line taken out ${clock(status.done.at)}.`;
    case 'over':
      return `• ${what}: no longer asked.`;
  }
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
): ButtonSpec[] {
  if (open.length === 0) return [];
  const { policy } = view.ward;
  const d = open.map(({ asked }) => [asked.kind, asked.dueAt] as [Asked['kind'], number]);
  const value = actionValue({ w: wardId, l: line.id, d });
  const kinds = [...new Set(open.map(({ asked }) => asked.kind))];
  const name = line.patient.name;
  const buttons: ButtonSpec[] = [];
  const one = kinds.length === 1 ? kinds[0] : undefined;
  const quick = kinds.filter((kind) => usualTelling(kind) !== null);
  if (one && quick.length === 1) {
    buttons.push({
      action: `done:${line.id}`,
      text: doneWords(one),
      value,
      primary: true,
      label: `${name}: ${doneWords(one)}`,
    });
  } else if (quick.length > 0) {
    buttons.push({
      action: `done:${line.id}`,
      text: 'All done, nothing amiss',
      value,
      primary: true,
      label: `${name}: all done, nothing amiss`,
    });
  }
  if (kinds.includes('stillNeeded')) {
    buttons.push({
      action: `done:needed:${line.id}`,
      text: 'Still needed',
      value,
      label: `${name}: still needed`,
    });
  }
  const form = kinds.map((kind) => formFor[kind]).find((found) => found !== undefined);
  if (form) {
    buttons.push({
      action: `open:${form.verb}:${line.id}`,
      text: form.text,
      value: actionValue({ w: wardId, l: line.id, d, v: form.verb }),
      label: `${name}: ${form.text}`,
    });
  }
  if (kinds.includes('dwellLimit') || kinds.includes('dwellWarning')) {
    buttons.push({
      action: `open:letgo:${line.id}`,
      text: 'Clinician: keep it in…',
      value,
      label: `${name}: clinician keeps it in`,
    });
    return buttons;
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

/** Where a finding or a number must be told instead of "done": the verb whose form the button opens. */
const formFor: Partial<Record<Asked['kind'], { verb: string; text: string }>> = {
  dwellLimit: { verb: 'remove', text: 'Taken out…' },
  dwellWarning: { verb: 'remove', text: 'Taken out…' },
  stillNeeded: { verb: 'remove', text: 'Taken out…' },
  runOut: { verb: 'source', text: 'Source changed…' },
  set: { verb: 'source', text: 'Set changed…' },
  test: { verb: 'test', text: 'Not normal…' },
  site: { verb: 'check', text: 'Found something…' },
  redress: { verb: 'redress', text: 'Found something…' },
  pulse: { verb: 'pulse', text: 'Not present…' },
  pulseNextDay: { verb: 'pulse', text: 'Not present…' },
};
