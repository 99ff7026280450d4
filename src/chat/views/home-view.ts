import type { HomeView, KnownBlock } from '@slack/web-api';
import type { WardView } from '../../app/ports.ts';
import { marksOn } from '../../domain/duties/marks-on.ts';
import { dutyKinds, isClinicians, isDwell } from '../../domain/duty-kind.ts';
import { type OwnLine, owedOf, ownLines } from '../../domain/ward/mine.ts';
import { isOnCall, onCallFor } from '../../domain/ward/on-call.ts';
import { actionValue } from '../action-value.ts';
import { actions, button, context, section } from '../messages/blocks.ts';
import { mineBlocks, onCallBlocks } from '../messages/mine-list.ts';
import type { Names } from '../names.ts';
import { channelOf } from '../ward-id.ts';
import { standingCaution } from '../wording/line-words.ts';
import { whoWords } from '../wording/who-words.ts';

/** A view holds 100 blocks, a few of which are for what was just answered. */
const blocksMax = 100;
const blocksForWards = 90;
const mostWards = 6;
/** Blocks of a ward besides those of its lines; and of a line, with its buttons and once more where its clinician looks. */
const blocksOfWard = 10;
const blocksOfLine = 3;

/** What somebody was last answered on their Home. */
export interface SaidAtHome {
  text: string;
  blocks: readonly KnownBlock[];
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
): Promise<HomeView> {
  const shown = wards.slice(0, mostWards);
  const room = Math.max(
    1,
    Math.floor((blocksForWards / Math.max(1, shown.length) - blocksOfWard) / blocksOfLine),
  );
  const parts = await Promise.all(shown.map((view) => wardBlocks(view, user, names, now, room)));
  const left = wards.length - shown.length;
  const blocks: KnownBlock[] = [
    ...(warning === null ? [] : [section(`*${warning}*`)]),
    ...(said === null ? [] : [...(said.blocks.length > 0 ? said.blocks : [section(said.text)]), divider]),
    ...parts.flatMap((part, index) => (index === 0 ? part : [divider, ...part])),
    ...(wards.length === 0 ? [section(nowhere)] : []),
    ...(left > 0 ? [context(`${left} more of your wards: type /artline mine in their channels.`)] : []),
  ].slice(0, blocksMax - 1);
  return { type: 'home', callback_id: 'home', blocks: [...blocks, context(standingCaution)] };
}

const divider: KnownBlock = { type: 'divider' };

const nowhere =
  '*No ward of yours has arterial lines here yet.* Type /artline in your ward’s channel, or ask to be added to it.';

async function wardBlocks(
  view: WardView,
  user: string,
  names: Names,
  now: number,
  room: number,
): Promise<KnownBlock[]> {
  const { ward, lines } = view;
  const value = actionValue({ w: ward.id });
  const own = ownLines(ward, lines, user, now);
  const onCall = onCallFor(ward, now);
  const called = onCall ? `On call: ${await whoWords(onCall, names)}.` : '*Nobody is on call.*';
  const due = own.filter((one) => one.now.length > 0).length;
  const theirs = isOnCall(ward, user, now)
    ? await onCallBlocks(forClinician(view, now), view, names, now, room)
    : [];
  const head = section(`*<#${channelOf(ward.id)}>* · ${called}\n*${countWords(own.length, due)}*`);
  return [
    { ...head, block_id: `home:${ward.id}`, accessory: button({ action: 'open:menu', text: 'Menu', value }) },
    ...theirs,
    ...(await mineBlocks(own, view, names, now, room)),
    actions(`home:verbs:${ward.id}`, [
      { action: 'open:place', text: 'Register a line', value },
      { action: 'open:oncall', text: onCall ? 'Change who is on call…' : 'Put somebody on call…', value },
      { action: 'open:round', text: 'Rounds of this shift', value },
    ]),
  ];
}

function countWords(own: number, due: number): string {
  if (own === 0) return 'No line here is yours now.';
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
