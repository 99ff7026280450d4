import type { WardView } from '../../app/ports.ts';
import { marksOn } from '../../domain/duties/marks-on.ts';
import { dutyKinds, isClinicians, isDwell } from '../../domain/duty-kind.ts';
import { type OwnLine, owedOf, ownLines } from '../../domain/ward/mine.ts';
import { isOnCall, onCallFor } from '../../domain/ward/on-call.ts';
import { standingCaution } from '../../wording/care/line-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import type { Names } from '../../wording/names.ts';
import { place, rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { mineParts, onCallParts } from '../messages/mine-list.ts';
import { buttonRow, divider, type Part, paragraph, paragraphBeside, smallPrint } from '../parts.ts';
import { channelOf } from '../ward-id.ts';

/** A view holds 100 parts, a few of which are for what was just answered. */
const blocksMax = 100;
const blocksForWards = 90;
const mostWards = 6;
/** Blocks of a ward besides those of its lines; and of a line, with its buttons and once more where its clinician looks. */
const blocksOfWard = 10;
const blocksOfLine = 3;

/** What somebody was last answered on their Home. */
export interface SaidAtHome {
  text: string;
  parts: readonly Part[];
}

/**
 * One person's Home: a `warning` that concerns everybody, what was just answered, then for each ward of theirs their lines, what is due of them with its buttons and
 * what comes next; for whoever is on call, what of the ward is theirs to see to.
 */
export async function homeView(
  wards: readonly WardView[],
  user: string,
  names: Names,
  now: number,
  said: SaidAtHome | null,
  warning: string | null = null,
): Promise<Part[]> {
  const shown = wards.slice(0, mostWards);
  const room = Math.max(
    1,
    Math.floor((blocksForWards / Math.max(1, shown.length) - blocksOfWard) / blocksOfLine),
  );
  const ofWards = await Promise.all(shown.map((view) => wardParts(view, user, names, now, room)));
  const left = wards.length - shown.length;
  const above: Part[] = [
    ...(warning === null ? [] : [paragraph(rich`*${warning}*`)]),
    ...(said === null ? [] : [...(said.parts.length > 0 ? said.parts : [paragraph(said.text)]), divider]),
    ...ofWards.flatMap((part, index) => (index === 0 ? part : [divider, ...part])),
    ...(wards.length === 0 ? [paragraph(nowhere)] : []),
    ...(left > 0 ? [smallPrint(`${left} more of your wards: type /artline mine in their channels.`)] : []),
  ].slice(0, blocksMax - 1);
  return [...above, smallPrint(standingCaution)];
}

const nowhere = rich`*No ward of yours has arterial lines here yet.* Type /artline in your ward’s channel, or ask to be added to it.`;

async function wardParts(
  view: WardView,
  user: string,
  names: Names,
  now: number,
  room: number,
): Promise<Part[]> {
  const { ward, lines } = view;
  const value = actionValue({ w: ward.id });
  const own = ownLines(ward, lines, user, now);
  const onCall = onCallFor(ward, now);
  const called = onCall ? `On call: ${await whoWords(onCall, names)}.` : rich`*Nobody is on call.*`;
  const due = own.filter((one) => one.now.length > 0).length;
  const theirs = isOnCall(ward, user, now)
    ? await onCallParts(forClinician(view, now), view, names, now, room)
    : [];
  return [
    paragraphBeside(
      `home:${ward.id}`,
      rich`*${place(channelOf(ward.id))}* · ${called}\n*${countWords(own.length, due)}*`,
      { action: 'open:menu', text: 'Menu', value },
    ),
    ...theirs,
    ...(await mineParts(own, view, names, now, room)),
    buttonRow(`home:verbs:${ward.id}`, [
      { action: 'open:place', text: 'Register a line', value },
      { action: 'open:oncall', text: onCall ? 'Change who is on call…' : 'Put somebody on call…', value },
      { action: 'open:round', text: 'Rounds of this shift', value },
    ]),
  ];
}

function countWords(own: number, due: number): string {
  if (own === 0) return 'You have no lines here now.';
  const lines = `${own} ${own === 1 ? 'line is' : 'lines are'} yours`;
  return due === 0
    ? `${lines}; nothing is due now.`
    : `${lines}; ${due === own ? 'all' : due} of them due now.`;
}

/** Worst first, the lines of which something is the clinician's from the first, is a cat's limit, or climbed to them and still waits. */
function forClinician({ ward, lines }: WardView, now: number): OwnLine[] {
  const gravity = ({ now: [first] }: OwnLine) => (first ? dutyKinds.indexOf(first.kind) : dutyKinds.length);
  const theirs = owedOf(lines, ward.policy, now).flatMap((one) => {
    const mine = one.now.filter(
      (duty) =>
        isClinicians(duty.kind) || isDwell(duty.kind) || marksOn(one.line, duty).clinician !== undefined,
    );
    const worstFirst = mine.toSorted((a, b) => dutyKinds.indexOf(a.kind) - dutyKinds.indexOf(b.kind));
    return mine.length === 0 ? [] : [{ ...one, now: worstFirst }];
  });
  return theirs.toSorted((a, b) => gravity(a) - gravity(b));
}
