import { stepWords } from '../../domain/fault/next-question.ts';
import type { FlushSource, Telling } from '../../domain/record/entry.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { awayToWords } from '../wording/away-words.ts';
import { listed } from '../wording/duty-words.ts';
import { findingWords } from '../wording/finding-words.ts';
import { targetText } from '../wording/target-words.ts';

/** What a telling says, for a confirmation or a list: `flushed 1 mL`. Plain text; free text in it is not escaped. */
export function tellingWords(telling: Telling, line: Pick<LineState, 'site'>): string {
  switch (telling.kind) {
    case 'placed':
      return telling.body.transducer === false ? 'placed, samples only' : 'placed';
    case 'zeroed':
      return `zeroed${telling.body.openToAirMmHg === undefined ? '' : ` (open to air it showed ${telling.body.openToAirMmHg} mmHg)`}`;
    case 'levelled': {
      const cm = telling.body.belowHeartCm ?? 0;
      return cm === 0
        ? 'level at the heart'
        : `levelled (it was ${Math.abs(cm)} cm ${cm > 0 ? 'below' : 'above'} the heart)`;
    }
    case 'fastFlushTested':
      return `fast-flush test: ${telling.body.verdict}`;
    case 'flushed':
      return `flushed${flushMlWords(telling.body.volumeMl, telling.body.usual)}${telling.body.heparinUPerMl === undefined ? '' : `, heparin ${telling.body.heparinUPerMl} U/mL`}${telling.body.again === undefined ? '' : ', a second time'}`;
    case 'flushModeChanged':
      return telling.body.mode === 'manual'
        ? 'flush now by hand'
        : `flush now continuous${telling.body.source ? `, ${telling.body.source.kind}${holdsWords(telling.body.source)}` : ''}`;
    case 'sourceChanged':
      return `${telling.body.source.kind} changed${telling.body.newSet ? ', with a new transducer set' : ''}${holdsWords(telling.body.source)}`;
    case 'sourceChecked': {
      const { pressureMmHg, volumeLeftMl } = telling.body;
      const seen = [
        pressureMmHg === undefined ? '' : `${pressureMmHg} mmHg`,
        volumeLeftMl === undefined ? '' : `${volumeLeftMl} mL left`,
      ].filter(Boolean);
      return `flush source checked${seen.length > 0 ? `: ${listed(seen)}` : ''}`;
    }
    case 'redressed':
      return `redressed${telling.body.finding ? `, site: ${findingWords(telling.body.finding, line.site)}` : ''}`;
    case 'siteChecked':
      return `site and limb: ${findingWords(telling.body.finding, line.site)}`;
    case 'sampled': {
      const { volumeMl, discardMl, discardReturned, flushed, flushMl, flushUsual } = telling.body;
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
      const { sapMmHg, dapMmHg, mapMmHg } = telling.body;
      return `reading ${sapMmHg}/${dapMmHg}${mapMmHg === undefined ? '' : ` (mean ${mapMmHg})`} mmHg`;
    }
    case 'transducerJoined': {
      const { newSet, flushMode, source } = telling.body;
      const flush =
        flushMode === 'manual'
          ? 'flush by hand'
          : `flush continuous${source ? `, ${source.kind}${holdsWords(source)}` : ''}`;
      return `joined to ${newSet ? 'a new transducer' : 'its transducer again'}, ${flush}`;
    }
    case 'capped':
      return `taken off its transducer and capped (${telling.body.flushed ? `flushed${flushMlWords(telling.body.flushMl, telling.body.flushUsual)}` : 'not flushed yet'})`;
    case 'leftWard':
      return `left the ward${awayToWords(telling.body.to)}`;
    case 'arrived':
      return 'arrived there';
    case 'returned':
      return 'back on the ward';
    case 'disturbed':
      return `${telling.body.how}${telling.body.bloodLostMl === undefined ? '' : `, about ${telling.body.bloodLostMl} mL of blood lost`}`;
    case 'faultOpened':
      return `fault: ${telling.body.sign}`;
    case 'faultStep':
      return `fault step: ${stepWords(telling.body)}`;
    case 'faultClosed':
      return `fault${telling.body.sign === undefined ? '' : ` ${telling.body.sign}`} ${telling.body.resolved ? 'resolved' : 'not resolved'}`;
    case 'assigned':
      return `given to a nurse${telling.body.from === undefined ? '' : ' for the coming shift'}`;
    case 'claimed':
      return 'taken over';
    case 'snoozed':
      return 'put off';
    case 'waived':
      return `let go: ${telling.body.reason}`;
    case 'targetsSet':
      return `targets ${targetText(telling.body)}: ${telling.body.reason}`;
    case 'targetsEnded':
      return 'targets ended';
    case 'amended':
      if (telling.body.target === 1 && telling.body.strike !== undefined) return 'registered in error';
      return telling.body.strike === undefined
        ? `entry ${telling.body.target} put right`
        : `entry ${telling.body.target} struck out`;
    case 'noted':
      return `note: ${telling.body.text}`;
    case 'removed':
      return `taken out: ${telling.body.reason}`;
    case 'pulseChecked':
      return `pulse ${telling.body.pulse}${telling.body.cold ? ', cold' : ''}`;
    case 'holdEnded':
      return telling.body.oozing ? 'still oozing, held again' : 'not oozing';
    case 'nudged':
      return 'ward reminded';
    case 'escalated':
      return `${telling.body.to} told`;
  }
}

/** ` 0.5 mL (the usual)`: nobody told the volume, it is the ward's usual one; empty where none is known. */
function flushMlWords(volumeMl: number | undefined, isUsual: boolean | undefined): string {
  if (volumeMl === undefined) return '';
  return ` ${volumeMl} mL${isUsual ? ' (the usual)' : ''}`;
}

/** `: 500 mL at 3 mL/h, 300 mmHg, heparin 2 U/mL`, as far as it was told: who told it sees what was understood. */
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
