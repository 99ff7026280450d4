import { stepWords } from '../../domain/fault/next-question.ts';
import type { EntryDraft, FlushSource } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { awayToWords } from '../wording/away-words.ts';
import { listed } from '../wording/duty-words.ts';
import { findingWords } from '../wording/finding-words.ts';
import { targetText } from '../wording/target-words.ts';

/** What a draft entry says, for a confirmation or a list: `flushed 1 mL`. Plain text; free text in it is not escaped. */
export function draftWords(draft: EntryDraft, line: Pick<LineState, 'site'>): string {
  switch (draft.kind) {
    case 'placed':
      return draft.body.transducer === false ? 'placed, samples only' : 'placed';
    case 'zeroed':
      return `zeroed${draft.body.openToAirMmHg === undefined ? '' : ` (open to air it showed ${draft.body.openToAirMmHg} mmHg)`}`;
    case 'levelled': {
      const cm = draft.body.belowHeartCm ?? 0;
      return cm === 0
        ? 'level at the heart'
        : `levelled (it was ${Math.abs(cm)} cm ${cm > 0 ? 'below' : 'above'} the heart)`;
    }
    case 'fastFlushTested':
      return `fast-flush test: ${draft.body.verdict}`;
    case 'flushed':
      return `flushed${flushMlWords(draft.body.volumeMl, draft.body.usual)}${draft.body.heparinUPerMl === undefined ? '' : `, heparin ${draft.body.heparinUPerMl} U/mL`}${draft.body.again === undefined ? '' : ', a second time'}`;
    case 'flushModeChanged':
      return draft.body.mode === 'manual'
        ? 'flush now by hand'
        : `flush now continuous${draft.body.source ? `, ${draft.body.source.kind}${holdsWords(draft.body.source)}` : ''}`;
    case 'sourceChanged':
      return `${draft.body.source.kind} changed${draft.body.newSet ? ', with a new transducer set' : ''}${holdsWords(draft.body.source)}`;
    case 'sourceChecked': {
      const { pressureMmHg, volumeLeftMl } = draft.body;
      const seen = [
        pressureMmHg === undefined ? '' : `${pressureMmHg} mmHg`,
        volumeLeftMl === undefined ? '' : `${volumeLeftMl} mL left`,
      ].filter(Boolean);
      return `flush source checked${seen.length > 0 ? `: ${listed(seen)}` : ''}`;
    }
    case 'redressed':
      return `redressed${draft.body.finding ? `, site: ${findingWords(draft.body.finding, line.site)}` : ''}`;
    case 'siteChecked':
      return `site and limb: ${findingWords(draft.body.finding, line.site)}`;
    case 'sampled': {
      const { volumeMl, discardMl, discardReturned, flushed, flushMl, flushUsual } = draft.body;
      const went =
        discardReturned === undefined
          ? 'counted as lost: nobody said whether it was returned'
          : discardReturned
            ? 'returned'
            : 'thrown away';
      const discard = discardMl === undefined ? '' : `, discard ${discardMl} mL ${went}`;
      return `sample ${volumeMl} mL${discard}, ${flushedAfterWords(flushed, flushMlWords(flushMl, flushUsual))}`;
    }
    case 'reading': {
      const { sapMmHg, dapMmHg, mapMmHg } = draft.body;
      return `reading ${sapMmHg}/${dapMmHg}${mapMmHg === undefined ? '' : ` (mean ${mapMmHg})`} mmHg`;
    }
    case 'transducerJoined': {
      const { newSet, flushMode, source } = draft.body;
      const flush =
        flushMode === 'manual'
          ? 'flush by hand'
          : `flush continuous${source ? `, ${source.kind}${holdsWords(source)}` : ''}`;
      return `joined to ${newSet ? 'a new transducer' : 'its transducer again'}, ${flush}`;
    }
    case 'capped':
      return `taken off its transducer and capped (${draft.body.flushed ? `flushed${flushMlWords(draft.body.flushMl, draft.body.flushUsual)}` : 'not flushed yet'})`;
    case 'leftWard':
      return `left the ward${awayToWords(draft.body.to)}`;
    case 'arrived':
      return 'arrived there';
    case 'returned':
      return 'back on the ward';
    case 'disturbed':
      return `${draft.body.how}${draft.body.bloodLostMl === undefined ? '' : `, about ${draft.body.bloodLostMl} mL of blood lost`}`;
    case 'faultOpened':
      return `fault: ${draft.body.sign}`;
    case 'faultStep':
      return `fault step: ${stepWords(draft.body)}`;
    case 'faultClosed':
      return `fault${draft.body.sign === undefined ? '' : ` ${draft.body.sign}`} ${draft.body.resolved ? 'resolved' : 'not resolved'}`;
    case 'assigned':
      return `given to a nurse${draft.body.from === undefined ? '' : ' for the coming shift'}`;
    case 'claimed':
      return 'taken over';
    case 'snoozed':
      return 'put off';
    case 'waived':
      return `let go: ${draft.body.reason}`;
    case 'targetsSet':
      return `targets ${targetText(draft.body)}: ${draft.body.reason}`;
    case 'targetsEnded':
      return 'targets ended';
    case 'amended':
      if (draft.body.target === 1 && draft.body.strike !== undefined) return 'registered in error';
      return draft.body.strike === undefined
        ? `entry ${draft.body.target} put right`
        : `entry ${draft.body.target} struck out`;
    case 'noted':
      return `note: ${draft.body.text}`;
    case 'removed':
      return `taken out: ${draft.body.reason}`;
    case 'pulseChecked':
      return `pulse ${draft.body.pulse}${draft.body.cold ? ', cold' : ''}`;
    case 'holdEnded':
      return draft.body.oozing ? 'still oozing, held again' : 'not oozing';
    case 'nudged':
      return 'ward reminded';
    case 'escalated':
      return `${draft.body.to} notified`;
  }
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
