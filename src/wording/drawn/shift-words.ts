import type { HandedLine, ShiftHandover } from '../../domain/handover/shift-handover.ts';
import type { Trouble } from '../../domain/handover/trouble.ts';
import { wallClock, wallClockWithDay } from '../../domain/shifts/wall-clock.ts';
import { altTextOf } from './alt-text.ts';
import { dutyLabels } from './audit-labels.ts';
import type { SheetWords } from './sheet-words.ts';

/** What stands on a line's track. */
export type Shape = 'done' | 'late' | 'left' | 'coming' | 'found' | 'fault';

/** What each shape means, in the order of the key. */
export const legendWords: readonly (readonly [Shape, string])[] = [
  ['done', 'done in time'],
  ['late', 'done late'],
  ['left', 'due, not done'],
  ['coming', 'to come'],
  ['found', 'finding or pressure'],
  ['fault', 'fault of the line'],
];

/** Of the picture and of its file. */
export const shiftTitle = 'The shift, line by line';
/** At the time of the handover. */
export const nowLabel = 'now';

/** The picture of a shift in words; `to`: how far ahead it shows, ms. */
export function shiftWords({ watch, stable, worked, ward, atMs }: ShiftHandover, to: number): SheetWords {
  const { zone } = ward.policy.shifts;
  const count = watch.length + stable.length;
  const span = `${wallClockWithDay(zone, worked.fromMs)} to ${wallClock(zone, atMs)}, and what comes until ${wallClock(zone, to)}`;
  return {
    fileName: `shift-${wallClockWithDay(zone, atMs)
      .toLowerCase()
      .replaceAll(/[^a-z0-9]+/g, '-')}.png`,
    title: shiftTitle,
    lead: [`${span}. Sickest first. Upper row: flushes; lower row: other care.`],
    foot: [],
    altText: altTextOf(
      `${shiftTitle}, ${span}, ${count} ${count === 1 ? 'line' : 'lines'}`,
      watch.map((one) => rowWords(one, zone)),
      stable.length === 0
        ? []
        : [`Nothing went wrong with ${stable.map(({ line }) => line.patient.name).join(', ')}.`],
    ),
  };
}

/** A line's row in words: what was late, left or found. */
function rowWords({ line, care, troubles }: HandedLine, zone: string): string {
  const late = care.filter(({ ended }) => ended === 'late' || ended === 'not done');
  const said = [
    ...late.map(({ kind, dueAt, ended }) => `${dutyLabels[kind]} due ${wallClock(zone, dueAt)} ${ended}`),
    ...troubles.flatMap((one) => {
      const mark = markOf(one);
      return mark ? [`${mark.says} ${wallClock(zone, mark.from)}`] : [];
    }),
  ];
  return `${line.patient.name}: ${said.length === 0 ? 'nothing late or found' : said.join(', ')}`;
}

/** Where a trouble stands on the track, and what it is in words; null of what has no time of its own in the shift. */
export function markOf(
  trouble: Trouble,
): { is: 'found' | 'fault'; from: number; until: number | null; says: string } | null {
  switch (trouble.what) {
    case 'finding':
      return { is: 'found', from: trouble.at, until: trouble.clearAt, says: 'finding' };
    case 'piece missing':
      return { is: 'found', from: trouble.at, until: null, says: 'piece missing' };
    case 'pressure':
      return {
        is: 'found',
        from: trouble.at,
        until: trouble.within?.at ?? null,
        says: `${trouble.beyond[0]?.what ?? ''} ${trouble.beyond[0]?.mmHg ?? ''} mmHg`,
      };
    case 'fault':
      return {
        is: 'fault',
        from: trouble.fault.at,
        until: trouble.left ? null : trouble.fault.closedAt,
        says: 'fault',
      };
    case 'lost':
      return { is: 'found', from: trouble.at, until: trouble.at, says: `came out, ${trouble.reason}` };
    case 'late':
    case 'hold late':
    case 'dwell':
    case 'blood':
    case 'waiver ends':
    case 'targets end':
    case 'caution':
      return null;
  }
}
