import type { Post, WardView } from '../../app/ports.ts';
import { isClinicians, isDwell } from '../../domain/duty-kind.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { nurseFor } from '../../domain/ward/on-call.ts';
import { awayPlaceWords, offWardWords } from '../../wording/care/away-words.ts';
import { capital, dutyName } from '../../wording/care/duty-words.ts';
import { animalWords, clockText, lineWords, standingCaution } from '../../wording/care/line-words.ts';
import { lockScreenText } from '../../wording/care/lock-screen.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { place, rich } from '../../wording/rich-text.ts';
import { sizeOf } from '../../wording/shorten.ts';
import { type ButtonOf, buttonRow, type Message, type Part, paragraph, smallPrint } from '../parts.ts';
import { channelOf } from '../ward-id.ts';
import {
  areSettled,
  type Item,
  isOpen,
  itemText,
  keptForAmendmentsMs,
  lateAsOf,
  lateWords,
  type OpenItem,
  repeatedAt,
  riskOf,
} from './asked-items.ts';
import { carried, dutyButtons, recordsWords } from './duty-buttons.ts';
import { lateLineOf } from './late-line.ts';
import { buttonsOf } from './line-button.ts';
import { backButtons } from './move-buttons.ts';
import { notFreeButton } from './not-free.ts';
import { byLine } from './nudge.ts';
import { standingItems } from './standing-items.ts';
import { standInWords, withAnotherNow } from './who-has-it.ts';

/**
 * An overdue duty, by direct message. The first line alone, as a lock screen shows it, says which patient, what, how late and
 * what it risks; a clinician's also who was asked, and what to do: see `lockScreenText`.
 */
export async function escalationMessage(
  post: Post,
  view: WardView,
  names: Names,
  now: number,
): Promise<Message> {
  const what = post.about?.what;
  const toClinician = what === 'clinician' || what === 'backup' || what === 'questions';
  const { items, saidAgainAt } = standingItems(post, view, now);
  const open = items.filter(isOpen);
  const elsewhereAt = saidAgainAt ?? (toClinician ? repeatedAt(open, post) : null);
  if (elsewhereAt !== null) {
    const where = saidAgainAt === null ? await sentWords(open, post, names) : repeated;
    const text = `Still open, and ${where}, ${clockText(view.ward.policy, elsewhereAt, now)}.`;
    return {
      lead: text,
      parts: [paragraph(text)],
      settled: saidAgainAt !== null && now - post.at >= keptForAmendmentsMs,
      superseded: true,
    };
  }
  const composing = { post, view, names, now, several: byLine(items).size > 1 };
  const [shown, others] = roomFor([...byLine(items)]);
  const partsOf = toClinician ? toClinicianOf : toNurseOf;
  const each = await Promise.all(shown.map(([line, mine]) => partsOf(composing, line, mine)));
  const parts = each.flat();
  const movedOn = await withAnotherNow(post, items, view, names, now);
  if (open.length === 0) {
    const settled = areSettled(items, post, view, now);
    const head = movedOn ?? 'Settled.';
    return { lead: head, parts: [paragraph(rich`*${head.slice(0, -1)}*`), ...parts], settled };
  }
  const more = othersWords(others, post, view, wordsMax - lengthOf(parts));
  const standIn = [...(movedOn ? [movedOn] : []), ...(await standInWords(post, open, view, names, now))];
  if (!toClinician) {
    const leads = shown.flatMap(([, mine]) => nurseLead(mine.filter(isOpen), post, view));
    const count = leads.length > 1 ? `${leads.length} lines. ` : '';
    return {
      lead: [count + leads.join(' '), ...more, ...standIn].join(' '),
      parts: [...standIn.map(paragraph), ...parts, ...more.map(paragraph)],
      settled: false,
    };
  }
  const text = await clinicianLead(open, composing);
  return {
    lead: [text, ...standIn].join(' '),
    parts: [
      paragraph(rich`*${text}*`),
      ...standIn.map(paragraph),
      ...parts,
      ...more.map(paragraph),
      smallPrint(standingCaution),
    ],
    settled: false,
  };
}

/** What a message is composed from; `several`: it is about more than one line. */
interface Composing {
  post: Post;
  view: WardView;
  names: Names;
  now: number;
  several: boolean;
}

/** What a clinician's locked phone shows. */
async function clinicianLead(open: readonly OpenItem[], { post, view, names }: Composing): Promise<string> {
  const late = await Promise.all(
    [...byLine(open)].map(([line, mine]) => lateLineOf(line, mine, view, names)),
  );
  const [worst] = open;
  const asOf = worst ? lateAsOf(worst.line, post.at) : post.at;
  const wardName = (await names.ward?.(view.ward.id)) ?? null;
  return lockScreenText(late, view.ward.policy, asOf, wardName);
}

/** One line as the clinician reads it: whose it is, each duty once, what it risks, and the buttons. */
async function toClinicianOf(
  { post, view, names, now }: Composing,
  line: LineState,
  mine: readonly Item[],
): Promise<Part[]> {
  const { ward } = view;
  const open = mine.filter(isOpen);
  const texts = await Promise.all(mine.map((item) => itemText(item, view, names, now)));
  const head = rich`*${lineWords(line)}* · ${animalWords(line)} · ${place(channelOf(ward.id))}`;
  if (open.length === 0) return [paragraph([head, ...texts].join('\n'))];
  const withWhom = `with ${await whoWords(nurseFor(ward, line, now), names)}${awayPlaceWords(line)}`;
  const words = [`${head} · ${withWhom}`, ...texts, risksOf(open, view), ...recordsWords(line, open, view)];
  const offered = dutyButtons(ward.id, line, open, view);
  const buttons = clinicianButtons(
    line,
    open,
    [...notFreeButton(post, line, open, view, now), ...offered],
    view,
  );
  return [paragraph(words.join('\n')), buttonRow(`duties:${line.id}`, buttons)];
}

/** One line as its nurse reads it: first what a lock screen shows. */
async function toNurseOf(
  { post, view, names, now, several }: Composing,
  line: LineState,
  mine: readonly Item[],
): Promise<Part[]> {
  const { ward } = view;
  const open = mine.filter(isOpen);
  const texts = await Promise.all(mine.map((item) => itemText(item, view, names, now)));
  const animal = `${animalWords(line)} · ${place(channelOf(ward.id))}`;
  if (open.length === 0) return [paragraph([rich`*${lineWords(line)}* · ${animal}`, ...texts].join('\n'))];
  // Where several lines are late the text of a screen reader says their details apart from their names.
  const which = several ? `${lineWords(line)}, ${animal}` : capital(animal);
  const away = await offWardWords(line, ward, names, now);
  const words = [
    which,
    ...(away === '' ? [] : [away]),
    ...texts,
    ...furtherRisks(open, view),
    ...recordsWords(line, open, view),
  ];
  return [
    ...nurseLead(open, post, view).map((lead) => paragraph(rich`*${lead}*`)),
    paragraph(words.join('\n')),
    buttonRow(`duties:${line.id}`, [
      ...dutyButtons(ward.id, line, open, view),
      ...backButtons(ward.id, line),
    ]),
  ];
}

/** `Biscuit (left dorsal pedal): flush, 20 min late. Risk: clot, lost line.`; none where nothing is open. */
function nurseLead(open: readonly OpenItem[], post: Post, view: WardView): string[] {
  return open.length === 0 ? [] : [`${lateLead(open, post, view)}. ${risksOf(open.slice(0, 1), view)}`];
}

/** Lines that a message shows with their buttons; the others, less grave, are said in a line of words. */
const linesWithButtons = 5;

function roomFor<T>(lines: readonly T[]): [T[], T[]] {
  return [lines.slice(0, linesWithButtons), lines.slice(linesWithButtons)];
}

/** Characters of one message's words, with air for its lead and the standing caution: an update takes 4,000 (chat.update). */
const wordsMax = 3_550;

/** The lines without buttons, each by name as far as `room` (characters) goes, the rest by their number. */
function othersWords(
  others: readonly [LineState, Item[]][],
  post: Post,
  view: WardView,
  room: number,
): string[] {
  const late = others.flatMap(([line, mine]) => {
    const open = mine.filter(isOpen);
    return open.length === 0 ? [] : [`${lineWords(line)}: ${lateWords(open, post.at, view)}`];
  });
  if (late.length === 0) return [];
  let left = room;
  const named = late.filter((words) => (left -= sizeOf(words) + 2) >= 0);
  const unnamed = late.length - named.length;
  const each = [...named, ...(unnamed > 0 ? [`${unnamed} not named here`] : [])].join('; ');
  return [rich`And ${late.length} more: ${each}. \`/artline due\` has their buttons.`];
}

/** How many characters these parts say. */
function lengthOf(parts: readonly Part[]): number {
  return parts.reduce((sum, part) => sum + (part.kind === 'paragraph' ? sizeOf(part.text) : 0), 0);
}

/** Whoever was told it again finds it among their own messages. */
const repeated = 'repeated in a newer message';

/** To whom the clinician's newer message went: whoever is relieved must not look for it among their own. */
async function sentWords(open: readonly OpenItem[], post: Post, names: Names): Promise<string> {
  const told = new Set(open.map(({ line, asked }) => line.marks[asked.kind]?.clinician?.user));
  const [user] = told;
  if (told.size > 1 || (post.to !== 'ward' && user === post.to.user)) return repeated;
  return user === undefined
    ? 'posted to the ward, since nobody is on call'
    : `sent to ${await names.of(user)}, who is on call`;
}

/** A clinician first takes it over; what a nurse records at the bedside is one tap further, on the line's page. */
function clinicianButtons(
  line: LineState,
  open: readonly OpenItem[],
  offered: readonly ButtonOf[],
  { ward }: WardView,
): ButtonOf[] {
  const button = buttonsOf(ward.id, line);
  const d = carried(open);
  const isClaimed = open.every(({ status }) => status.claimed !== undefined);
  const claimText = `I take it for ${ward.policy.claimMin} min`;
  const [worst] = open;
  const worstName = worst ? dutyName(worst.asked.kind, line) : '';
  const letGoText =
    worst && isDwell(worst.asked.kind)
      ? 'Keep it in…'
      : worst && isClinicians(worst.asked.kind)
        ? 'Seen: ask again…'
        : open.length === 1
          ? 'Let it go…'
          : `Let go: ${worstName}…`;
  return [
    ...(isClaimed ? [] : [button(`claim:${line.id}`, claimText, { d, primary: true })]),
    ...offered
      .filter(({ action }) =>
        /^(cannot:why|done|open:remove|open:fault|open:(?:check|reading):.*:finding$)/.test(action),
      )
      .map((spec) => ({ ...spec, primary: isClaimed && spec.primary === true })),
    button(`open:card:${line.id}`, 'Open the line', { label: 'open the line' }),
    button(`open:letgo:${line.id}`, letGoText, { d: d.slice(0, 1) }),
  ];
}

/** `Biscuit (left dorsal pedal): flush, 20 min late; zero and level, 5 min late`. */
function lateLead(mine: readonly OpenItem[], post: Post, view: WardView): string {
  const [worst] = mine;
  if (!worst) return '';
  const said = (late: string) => `${lineWords(worst.line)}: ${late}`;
  const all = said(lateWords(mine, post.at, view));
  if (mine.length === 1 || all.length <= leadMax) return all;
  const more = mine.length - 1;
  return said(`${lateWords([worst], post.at, view)}, and ${more} more ${more === 1 ? 'duty' : 'duties'}`);
}

/** Characters of a first line that can be taken in at a glance; common practice, no source. */
const leadMax = 100;

/** `Risk: clot, lost line.`: what leaving these undone may do. */
function risksOf(mine: readonly OpenItem[], { ward }: WardView): string {
  const risks = [...new Set(mine.map((item) => riskOf(item, ward.policy)))];
  return `${risks.length === 1 ? 'Risk' : 'Risks'}: ${risks.join('; ')}.`;
}

function furtherRisks(mine: readonly OpenItem[], { ward }: WardView): string[] {
  const [, ...others] = [...new Set(mine.map((item) => riskOf(item, ward.policy)))];
  return others.length === 0
    ? []
    : [`Further ${others.length === 1 ? 'risk' : 'risks'}: ${others.join('; ')}.`];
}
