import { DateTime } from 'luxon';
import type { Period } from '../../domain/audit/line-course.ts';
import type { LinesInNumbers } from '../../domain/audit/lines-in-numbers.ts';
import { fewest } from '../../domain/audit/too-few.ts';
import type { WardAudit } from '../../domain/audit/ward-audit.ts';
import { type Species, speciesList } from '../../domain/patient/species.ts';
import { hourMs } from '../../domain/time.ts';
import { speciesPlurals } from '../care/animal-names.ts';
import { capital } from '../drawn/figure-words.ts';
import { alertSentences, bloodSentences, careSentences, pulseSentences } from './care-sentences.ts';
import {
  counted,
  countsText,
  decimal,
  durationText,
  intervalText,
  percentText,
  sharePlain,
  shareText,
  tooFewWords,
  whole,
} from './figure-text.ts';

/** A part of the report: plain sentences that stand alone. No person and no animal is named in any. */
export interface AuditSection {
  title: string;
  sentences: string[];
}

/** Times at which the share of lines that have not failed is stated, h; the short ones where no line lasts to the first. */
const readAtH = [24, 48, 72] as const;
const shortReadAtH = [6, 12] as const;

/** `24 Aug to 24 Nov 2026`: first and last day of a period on the ward's calendar. */
export function periodText({ fromMs, toMs }: Period, zone: string): string {
  const day = (ms: number) => DateTime.fromMillis(ms, { zone, locale: 'en' });
  const first = day(fromMs);
  const last = day(toMs - 1);
  if (first.hasSame(last, 'day')) return last.toFormat('d LLL yyyy');
  return `${first.toFormat(first.hasSame(last, 'year') ? 'd LLL' : 'd LLL yyyy')} to ${last.toFormat('d LLL yyyy')}`;
}

const readingSentences = [
  `Figures are per line; each line of an animal counts, but for blood, which is per animal over all its lines. In brackets: where the true figure may well lie (95 %; shares by score, rates exact, curves log-log).`,
  `“${capital(tooFewWords)}” stands where a share has fewer than ${fewest.ofShare}, a rate fewer than ${fewest.lineDays} line-days, a median or curve fewer than ${fewest.ofMedian} lines: our own rule.`,
  'An occlusion that was cleared is not counted, nor is pain alone. Only what was recorded is counted.',
];

/** The ward's part of the report: everybody on the ward may read it. Titles and sentences are plain text. */
export function wardSections(audit: WardAudit): AuditSection[] {
  return [
    { title: 'Lines', sentences: lineSentences(audit.lines) },
    { title: 'Time to failure', sentences: failureSentences(audit) },
    { title: 'Complications', sentences: complicationSentences(audit) },
    { title: 'Placing', sentences: placingSentences(audit) },
    { title: 'Care on time', sentences: careSentences(audit) },
    { title: 'Reminders', sentences: alertSentences(audit) },
    { title: 'Pulse after removal', sentences: pulseSentences(audit) },
    { title: 'Blood taken', sentences: bloodSentences(audit) },
    { title: 'How to read it', sentences: readingSentences },
  ];
}

function lineSentences({ all, bySpecies, animals, inError }: WardAudit['lines']): string[] {
  const notCounted =
    inError === 0
      ? []
      : [`${counted(inError, 'line was', 'lines were')} registered in error and counted nowhere here.`];
  if (all.lines === 0) return ['No arterial line was in.', ...notCounted];
  const each = speciesList.flatMap((species) => {
    const count = bySpecies[species]?.lines ?? 0;
    return count > 0 ? [`${speciesPlurals[species]} ${whole(count)}`] : [];
  });
  const { lowerQuartile, median, upperQuartile, tooFew } = all.dwellMs;
  return [
    `${counted(all.lines, 'line was', 'lines were')} in at some time${animals < all.lines ? `, of ${counted(animals, 'animal', 'animals')}` : ''}: ${each.join(', ')}.`,
    `${whole(all.placed)} placed, ${whole(all.out)} out in this time; ${decimal(all.lineDays)} line-days in all.`,
    ...(median === null || lowerQuartile === null || upperQuartile === null
      ? []
      : [
          `Dwell of the ${all.out === 1 ? 'one' : whole(all.out)} that came out: ${all.out === 1 ? '' : 'median '}${durationText(median)}${
            tooFew
              ? `; ${tooFewWords}`
              : `, the middle half ${durationText(lowerQuartile)} to ${durationText(upperQuartile)}`
          }.`,
        ]),
    `Sites: ${countsText(Object.fromEntries(Object.entries(all.sites).map(([site, share]) => [site, share.count])))}.`,
    ...(all.out > 0 ? [`Why they came out: ${countsText(all.reasons)}.`] : []),
    ...notCounted,
  ];
}

function failureSentences({ lines: { all, bySpecies } }: WardAudit): string[] {
  if (all.placed === 0) return ['No line was placed in this time, so there is no curve.'];
  const before = all.lines - all.placed;
  return [
    `${counted(all.placed, 'line')} placed in this time, ${whole(all.timeToFailure.failures)} failed. ${failedMeans}`,
    ...(before > 0
      ? [`${counted(before, 'line')} placed before this time ${before === 1 ? 'is' : 'are'} in no curve.`]
      : []),
    ...speciesList.flatMap((species) => {
      const theirs = bySpecies[species];
      return theirs && theirs.placed > 0 ? [curveSentence(species, theirs.timeToFailure)] : [];
    }),
  ];
}

const failedMeans =
  'Failed means: came out because it was occluded or dislodged, for bleeding, swelling or infection, or for a change of the pulse or limb. Lines that came out as planned, at the dwell limit, for death or transfer count as good until then and no longer (censored); so do those still in.';

function curveSentence(species: Species, curve: LinesInNumbers['timeToFailure']): string {
  const head = `${capital(speciesPlurals[species])}, ${counted(curve.subjects, 'line')}, ${whole(curve.failures)} failed`;
  if (curve.tooFew) return `${head}: ${tooFewWords}.`;
  const isReadable = (hours: number) =>
    curve.readableUntilMs !== null && hours * hourMs <= curve.readableUntilMs;
  const atH = isReadable(readAtH[0]) ? readAtH : [...shortReadAtH, readAtH[0]];
  const known = atH.filter(isReadable).map((hours) => {
    const step = curve.steps.findLast(({ time }) => time <= hours * hourMs);
    // A hundred percent of a dozen lines is no certainty: the band only begins with the first failure.
    if (!step) return `${percentText(1)} after ${hours} h (none had failed, so no interval)`;
    const band = step.band ? ` (${intervalText(step.band)})` : '';
    return `${percentText(step.survival)}${band} after ${hours} h`;
  });
  const first = atH.find((hours) => !isReadable(hours));
  const end =
    first === undefined ? '' : `at ${first} h fewer than ${fewest.atRisk} were left, so no figure is given`;
  if (known.length === 0) return `${head}: ${end}.`;
  return `${head}: not failed ${known.join(', ')}${end === '' ? '' : `; ${end}`}.`;
}

function complicationSentences({ lines: { all, bySpecies } }: WardAudit): string[] {
  const { byKind, linesWithOne, removedForOne } = all.complications;
  const rates = speciesList.flatMap((species) => {
    const words = rateWords(bySpecies[species]);
    return words === null ? [] : [`${capital(speciesPlurals[species])}: ${words}.`];
  });
  if (all.lines === 0) return ['No line was in, so there was nothing to count.'];
  const kinds = countsText(byKind);
  // A line that came out at the very instant at which the time begins was in for none of it.
  const rate =
    rateWords(all) ??
    `${counted(
      Object.values(byKind).reduce((sum, count) => sum + count, 0),
      'complication',
    )}; no line was in for any of this time, so there is no rate`;
  return [
    `${rate}.`,
    ...(rates.length > 1 ? rates : []),
    ...(kinds === '' ? [] : [`By kind: ${kinds}.`]),
    ...(all.out === 0
      ? []
      : [
          `Of the lines that came out, ${sharePlain(linesWithOne)} ever had one, and ${sharePlain(removedForOne)} came out for one${linesWithOne.tooFew ? `; ${tooFewWords}` : ''}.`,
        ]),
  ];
}

function rateWords(numbers: LinesInNumbers | undefined): string | null {
  const rate = numbers?.complications.per100LineDays;
  if (!rate) return null;
  const few = rate.tooFew ? `; ${tooFewWords}` : '';
  const counts = `${counted(rate.events, 'complication')} in ${decimal(rate.exposure)} line-days`;
  if (rate.exposure < fewest.lineDaysGiven) return `${counts}${few}`;
  return `${counts}, ${decimal(rate.rate)} per 100 line-days (${decimal(rate.lower)} to ${decimal(rate.upper)})${few}`;
}

function placingSentences({ firstAttempts, withTries, tries, withoutLine }: WardAudit): string[] {
  const unknown = withTries.total - withTries.count;
  const species = speciesList.flatMap((one) => {
    const share = firstAttempts.bySpecies[one];
    return share ? [`${capital(speciesPlurals[one])}: ${shareText(share)}.`] : [];
  });
  return [
    ...(firstAttempts.all.total === 0
      ? ['No attempts were recorded, so first-try success can’t be counted.']
      : [
          `First try succeeded: ${shareText(firstAttempts.all)}.`,
          ...(species.length > 1 ? species : []),
          `${counted(tries, 'try', 'tries')} in all; ${withoutLine === 0 ? 'each placing' : counted(withoutLine, 'placing')} came to ${withoutLine === 0 ? 'a' : 'no'} line.`,
        ]),
    ...(withTries.total === 0
      ? []
      : [
          `How many tries it took was recorded for ${whole(withTries.count)} of ${counted(withTries.total, 'line')} placed.${
            unknown > 0 && withTries.count > 0
              ? ` The other ${unknown === 1 ? 'one is' : `${whole(unknown)} are`} in no figure here; if those went worse, success looks better than it was.`
              : ''
          }`,
        ]),
  ];
}

/** Said once on every report. */
export const auditCaution =
  'A count of what was recorded, for learning. It judges nobody; attending clinician, hospital protocol and local codes decide.';

/** Where an audit couldn't be made. */
export const auditFailedWords =
  'The lines could not be counted just now. Nothing was changed. Ask again in a minute; if it keeps failing, whoever runs the bot finds why in its log.';
