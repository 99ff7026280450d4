import { type ByKind, byKind } from '../../domain/by-kind.ts';
import type { Site } from '../../domain/line/anatomy.ts';
import type { EntryDraft, EntryKind, FlushSource } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { stepWords } from '../faults/fault-question-words.ts';
import { awayToWords } from './away-words.ts';
import { letGoWords, listed } from './duty-words.ts';
import { findingWords } from './finding-words.ts';
import { targetText } from './target-words.ts';

/** Words of a draft of each kind; `site`: of its line. */
type Words<Kind extends EntryKind> = ByKind<Extract<EntryDraft, { kind: Kind }>, [site: Site], string>;

const pressureWords: Words<
  'zeroed' | 'levelled' | 'fastFlushTested' | 'reading' | 'targetsSet' | 'targetsEnded'
> = {
  zeroed: ({ body: { openToAirMmHg } }) =>
    `zeroed${openToAirMmHg === undefined ? '' : ` (open to air it showed ${openToAirMmHg} mmHg)`}`,
  levelled: ({ body: { belowHeartCm: cm = 0 } }) =>
    cm === 0
      ? 'level at the heart'
      : `levelled (it was ${Math.abs(cm)} cm ${cm > 0 ? 'below' : 'above'} the heart)`,
  fastFlushTested: ({ body }) => `fast-flush test: ${body.verdict}`,
  reading: ({ body: { sapMmHg, dapMmHg, mapMmHg } }) =>
    `reading ${sapMmHg}/${dapMmHg}${mapMmHg === undefined ? '' : ` (mean ${mapMmHg})`} mmHg`,
  targetsSet: ({ body }) => `targets ${targetText(body)}: ${body.reason}`,
  targetsEnded: () => 'targets ended',
};

const flushWords: Words<'flushed' | 'flushModeChanged' | 'sourceChanged' | 'sourceChecked' | 'sampled'> = {
  flushed({ body: { volumeMl, usual, heparinUPerMl, again } }) {
    const heparin = heparinUPerMl === undefined ? '' : `, heparin ${heparinUPerMl} U/mL`;
    return `flushed${flushMlWords(volumeMl, usual)}${heparin}${again === undefined ? '' : ', a second time'}`;
  },
  flushModeChanged: ({ body: { mode, source } }) =>
    mode === 'manual' ? 'flush now by hand' : `flush now continuous${fromSource(source)}`,
  sourceChanged: ({ body: { source, newSet } }) =>
    `${source.kind} changed${newSet ? ', with a new transducer set' : ''}${holdsWords(source)}`,
  sourceChecked({ body: { pressureMmHg, volumeLeftMl } }) {
    const seen = [
      pressureMmHg === undefined ? '' : `${pressureMmHg} mmHg`,
      volumeLeftMl === undefined ? '' : `${volumeLeftMl} mL left`,
    ].filter(Boolean);
    return `flush source checked${seen.length > 0 ? `: ${listed(seen)}` : ''}`;
  },
  sampled({ body: { volumeMl, discardMl, discardReturned, flushed, flushMl, flushUsual } }) {
    const went =
      discardReturned === undefined
        ? 'counted as lost: nobody said whether it was returned'
        : discardReturned
          ? 'returned'
          : 'thrown away';
    const discard = discardMl === undefined ? '' : `, discard ${discardMl} mL ${went}`;
    return `sample ${volumeMl} mL${discard}, ${flushedAfterWords(flushed, flushMlWords(flushMl, flushUsual))}`;
  },
};

const siteWords: Words<'redressed' | 'siteChecked' | 'disturbed' | 'removed' | 'pulseChecked' | 'holdEnded'> =
  {
    redressed: ({ body: { finding } }, site) =>
      `redressed${finding ? `, site: ${findingWords(finding, site)}` : ''}`,
    siteChecked: ({ body }, site) => `site and limb: ${findingWords(body.finding, site)}`,
    disturbed: ({ body: { how, bloodLostMl } }) =>
      `${how}${bloodLostMl === undefined ? '' : `, about ${bloodLostMl} mL of blood lost`}`,
    removed: ({ body }) => `taken out: ${body.reason}`,
    pulseChecked: ({ body }) => `pulse ${body.pulse}${body.cold ? ', cold' : ''}`,
    holdEnded: ({ body }) => (body.oozing ? 'still oozing, held again' : 'not oozing'),
  };

const moveWords: Words<'placed' | 'transducerJoined' | 'capped' | 'leftWard' | 'arrived' | 'returned'> = {
  placed: ({ body }) => (body.transducer === false ? 'placed, samples only' : 'placed'),
  transducerJoined({ body: { newSet, flushMode, source } }) {
    const flush = flushMode === 'manual' ? 'flush by hand' : `flush continuous${fromSource(source)}`;
    return `joined to ${newSet ? 'a new transducer' : 'its transducer again'}, ${flush}`;
  },
  capped: ({ body: { flushed, flushMl, flushUsual } }) =>
    `taken off its transducer and capped (${flushed ? `flushed${flushMlWords(flushMl, flushUsual)}` : 'not flushed yet'})`,
  leftWard: ({ body }) => `left the ward${awayToWords(body.to)}`,
  arrived: () => 'arrived there',
  returned: () => 'back on the ward',
};

const wordsByKind: ByKind<EntryDraft, [site: Site], string> = {
  ...pressureWords,
  ...flushWords,
  ...siteWords,
  ...moveWords,
  faultOpened: ({ body }) => `fault: ${body.sign}`,
  faultStep: ({ body }) => `fault step: ${stepWords(body)}`,
  faultClosed: ({ body: { sign, resolved } }) =>
    `fault${sign === undefined ? '' : ` ${sign}`} ${resolved ? 'resolved' : 'not resolved'}`,
  assigned: ({ body }) => `given to a nurse${body.from === undefined ? '' : ' for the coming shift'}`,
  claimed: () => 'taken over',
  snoozed: () => 'put off',
  waived: ({ body }) => `${letGoWords(body.duty)}: ${body.reason}`,
  amended({ body: { target, strike } }) {
    if (target === 1 && strike !== undefined) return 'registered in error';
    return strike === undefined ? 'something put right' : 'something struck out';
  },
  noted: ({ body }) => `note: ${body.text}`,
  nudged: () => 'ward reminded',
  escalated: ({ body }) => `${body.to} notified`,
};

/** What a draft entry says, for a confirmation or a list: `flushed 1 mL`. Plain text; free text in it is not escaped. */
export function draftWords(draft: EntryDraft, line: Pick<LineState, 'site'>): string {
  return byKind(wordsByKind, draft, line.site);
}

/** `, pressure bag: 500 mL`; empty where none was recorded. */
function fromSource(source: FlushSource | undefined): string {
  return source ? `, ${source.kind}${holdsWords(source)}` : '';
}

/** ` 0.5 mL (the usual)`: nobody recorded the volume, it is the ward's usual one; empty where none is known. */
function flushMlWords(volumeMl: number | undefined, isUsual: boolean | undefined): string {
  if (volumeMl === undefined) return '';
  return ` ${volumeMl} mL${isUsual ? ' (the usual)' : ''}`;
}

/** `: 500 mL at 3 mL/h, 300 mmHg, heparin 2 U/mL`, as far as recorded: who recorded it sees what was understood. */
function holdsWords({ volumeMl, rateMlPerH, pressureMmHg, heparinUPerMl }: FlushSource): string {
  const flow = [
    volumeMl === undefined ? '' : `${volumeMl} mL`,
    rateMlPerH === undefined ? '' : `${volumeMl === undefined ? '' : 'at '}${rateMlPerH} mL/h`,
  ];
  const told = [
    flow.filter(Boolean).join(' '),
    pressureMmHg === undefined ? '' : `${pressureMmHg} mmHg`,
    heparinUPerMl === undefined ? '' : heparinUPerMl === 0 ? 'no heparin' : `heparin ${heparinUPerMl} U/mL`,
  ].filter(Boolean);
  return told.length === 0 ? '' : `: ${told.join(', ')}`;
}

/** Whether the line was flushed after a sample: what nobody said is not taken for a yes. */
function flushedAfterWords(flushed: boolean | undefined, volume: string): string {
  if (flushed === undefined) return 'not recorded whether it was flushed after';
  return flushed ? `flushed after${volume}` : 'not flushed yet';
}
