import { DateTime } from 'luxon';
import type { CareOnTime } from '../domain/audit/care-on-time.ts';
import type { TimedDutyKind } from '../domain/audit/duty-outcomes.ts';
import type { Period } from '../domain/audit/line-course.ts';
import type { LinesInNumbers } from '../domain/audit/lines-in-numbers.ts';
import type { PulseLook } from '../domain/audit/pulse-after-removal.ts';
import { fewest } from '../domain/audit/too-few.ts';
import type { WardAudit } from '../domain/audit/ward-audit.ts';
import { type Species, speciesList, speciesPlurals } from '../domain/patient/species.ts';
import { hourMs } from '../domain/time.ts';
import { capital } from '../pictures/figure-words.ts';
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

/** Times at which the share of lines that have not failed is told, h; the short ones where no line lasts to the first. */
const toldAtH = [24, 48, 72] as const;
const shortToldAtH = [6, 12] as const;

/** What duties of a kind are called together. */
const dutyNames: Record<TimedDutyKind, string> = {
  flush: 'Flushes by hand',
  runOut: 'Sources changed before they ran out',
  zero: 'Zero and level',
  test: 'Fast-flush tests',
  source: 'Flush source checks',
  site: 'Site and limb checks',
  redress: 'Redressing',
  stillNeeded: '“Still needed?” answered',
  set: 'Transducer sets changed',
  dwellLimit: 'Cats’ lines out by the dwell limit',
  pulse: 'First pulse checks after removal',
  pulseNextDay: 'Next-day pulse checks',
};

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
  const told = isReadable(toldAtH[0]) ? toldAtH : [...shortToldAtH, toldAtH[0]];
  const known = told.filter(isReadable).map((hours) => {
    const step = curve.steps.findLast(({ time }) => time <= hours * hourMs);
    // A hundred percent of a dozen lines is no certainty: the band only begins with the first failure.
    if (!step) return `${percentText(1)} after ${hours} h (none had failed, so no interval)`;
    const band = step.band ? ` (${intervalText(step.band)})` : '';
    return `${percentText(step.survival)}${band} after ${hours} h`;
  });
  const first = told.find((hours) => !isReadable(hours));
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

function placingSentences({ firstAttempts, triesTold, tries, withoutLine }: WardAudit): string[] {
  const untold = triesTold.total - triesTold.count;
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
    ...(triesTold.total === 0
      ? []
      : [
          `How many tries it took was told of ${whole(triesTold.count)} of ${counted(triesTold.total, 'line')} placed.${
            untold > 0 && triesTold.count > 0
              ? ` The other ${untold === 1 ? 'one is' : `${whole(untold)} are`} in no figure here; if those went worse, success looks better than it was.`
              : ''
          }`,
        ]),
  ];
}

function careSentences({ lines: { careOnTime } }: WardAudit): string[] {
  const duties = Object.entries(careOnTime).flatMap(([kind, care]) =>
    care ? [{ kind: kind as TimedDutyKind, care }] : [],
  );
  if (duties.length === 0) return ['Nothing fell due.'];
  // The worst first: that is what a ward can mend.
  const ordered = duties.toSorted((a, b) => (a.care.onTime.share ?? 2) - (b.care.onTime.share ?? 2));
  return [
    'On time is before the nurse’s grace was over; what was let go counts only if it fell due again. What was left for long counts once, however often it would have come due.',
    ...ordered.map(({ kind, care }) => `${dutyNames[kind]}: ${careWords(care)}.`),
  ];
}

function careWords({ onTime, late, notDone, letGo, lateByMs }: CareOnTime): string {
  const lateness = lateByMs.median === null ? '' : `, ${durationText(lateByMs.median)} in the median`;
  const rest = [
    ...(late > 0 ? [`${whole(late)} late${lateness}`] : []),
    ...(notDone > 0 ? [`${whole(notDone)} not done`] : []),
    ...(letGo > 0 ? [`${whole(letGo)} let go`] : []),
  ];
  return [...(onTime.total > 0 ? [shareText(onTime)] : []), ...rest].join('; ');
}

function alertSentences(audit: WardAudit): string[] {
  return [...burdenSentences(audit), ...downtimeSentences(audit)];
}

/** Few reminders of a bot that was down are no light burden, and care that was late then was not asked for. */
function downtimeSentences({ downtime: { ms, missed, wasDownAtEnd } }: WardAudit): string[] {
  const reminders = counted(missed, 'reminder');
  const fellDue = `${reminders} fell due meanwhile and came late or never`;
  if (ms === 0) return missed === 0 ? [] : [`The bot was down just before this time; ${fellDue}.`];
  const down = `The bot was down for ${durationText(ms)} of this time while lines needed it`;
  if (!wasDownAtEnd) return [`${down}; ${fellDue}.`];
  return [
    `${down}, and still so at its end: what fell due then is counted in the time in which it was back.${missed === 0 ? '' : ` Before that, ${reminders} fell due and came late or never.`}`,
  ];
}

function burdenSentences({ lines: { alerts } }: WardAudit): string[] {
  const { messages, nudgesPerLineDay, escalationsPerLineDay, nudgesPerShift, escalationsPerShift } = alerts;
  const { values: shifts } = nudgesPerShift;
  const sum = messages.nudges + messages.toNurse + messages.toClinician + messages.toNobody;
  if (sum === 0) return ['No reminder was sent.'];
  return [
    `${counted(messages.nudges, 'reminder')} in the channel, ${whole(messages.toNurse)} to a nurse, ${whole(messages.toClinician)} to the clinician on call${
      messages.toNobody > 0 ? `, ${whole(messages.toNobody)} while nobody was on call` : ''
    }.`,
    ...(nudgesPerLineDay === null || escalationsPerLineDay === null
      ? []
      : [
          `Per line-day, counting each line that a message names: ${decimal(nudgesPerLineDay)} in the channel, ${decimal(escalationsPerLineDay)} beyond it${alerts.tooFewDays ? `; ${tooFewWords}` : ''}.`,
        ]),
    ...(nudgesPerShift.mean === null || escalationsPerShift.mean === null
      ? []
      : [
          `In a shift, of ${whole(shifts)} with a line or a reminder: ${decimal(nudgesPerShift.mean)} in the channel on average, ${nudgesPerShift.most ?? 0} at most; ${decimal(escalationsPerShift.mean)} beyond it, ${escalationsPerShift.most ?? 0} at most${nudgesPerShift.tooFew ? `; ${tooFewWords}` : ''}.`,
        ]),
  ];
}

function pulseSentences({ lines: { pulseAfterRemoval } }: WardAudit): string[] {
  const { removed, followedUp, first, nextDay } = pulseAfterRemoval;
  if (removed === 0) return ['No line came out.'];
  const lost = removed - followedUp;
  return [
    `${counted(removed, 'line')} out, ${
      lost === 0
        ? 'none for death or transfer'
        : `${whole(lost)} for death or transfer, whose ${lost === 1 ? 'limb is' : 'limbs are'} not followed up`
    }.`,
    ...(followedUp > 0 ? [`First look: ${lookWords(first)}.`, `Next day: ${lookWords(nextDay)}.`] : []),
  ];
}

function lookWords({ found, notChecked, notYet, absent, absentOrWeak }: PulseLook): string {
  const { present, weak } = found;
  const rest = [
    ...(found['cannot tell'] > 0 ? [`${found['cannot tell']} couldn’t be judged`] : []),
    ...(notChecked > 0 ? [`${whole(notChecked)} not looked at in its time`] : []),
    ...(notYet > 0 ? [`${whole(notYet)} not due yet`] : []),
  ];
  const told =
    absent.total > 0
      ? [
          `present ${whole(present)}, weak ${whole(weak)}, absent ${whole(found.absent)}`,
          `absent in ${shareText(absent)}`,
          ...(weak > 0 ? [`absent or weak in ${shareText(absentOrWeak)}`] : []),
        ]
      : [];
  return [...told, ...rest].join('; ');
}

function bloodSentences({ lines: { bloodTaken } }: WardAudit): string[] {
  const { samples, spills, spiltMl, ml, mlPerLineDay, tooFewDays, mostPercentIn24h } = bloodTaken;
  if (samples + spills === 0) return ['No samples were recorded.'];
  const { median, most, tooFew, values } = mostPercentIn24h;
  return [
    `${counted(samples, 'sample')} and what was thrown away with them${spills === 0 ? '' : `, and ${counted(spills, 'disconnection')} that bled`}: ${decimal(ml)} mL${
      mlPerLineDay === null
        ? ''
        : `, ${decimal(mlPerLineDay)} mL per line-day${tooFewDays ? `; ${tooFewWords}` : ''}`
    }.`,
    ...(spills === 0
      ? []
      : [`Of this, lost at a disconnection: ${decimal(spiltMl)} mL, as near as it was guessed.`]),
    ...(median === null || most === null
      ? []
      : [
          `Most that an animal lost within 24 h, of the circulating volume, in ${counted(values, 'animal')}: ${
            values === 1 ? '' : `median ${decimal(median)} %, at most `
          }${decimal(most)} %${tooFew ? `; ${tooFewWords}` : ''}.`,
        ]),
    `Beyond what the ward warns of, of the animals that lost any: ${shareText(bloodTaken.animalsBeyondWarning)}.`,
  ];
}

/** How one person's tries went, without a name: for that person and the ward lead alone. */
export function personSentences(audit: WardAudit, user: string, zone: string): string[] {
  const curve = audit.curves.find(({ by }) => by === user);
  const practice = audit.practice.find(({ by }) => by === user);
  const firsts = audit.firstAttempts.byOperator[user];
  return [
    ...(curve
      ? [curveWords(curve)]
      : [
          'No attempts are recorded, so there’s no learning curve. Who placed a line, and at which try, can be entered when it’s registered.',
        ]),
    ...(firsts ? [`First tries in this time that succeeded: ${shareText(firsts)}.`] : []),
    ...(practice ? [practiceWords(practice, audit, zone)] : []),
  ];
}

/** What every learning curve is held against, said once: feedback, not a licence. */
export function curveRule({ acceptable, unacceptable, alpha, beta }: WardAudit['rates']): string {
  const round = (share: number) => `${Number((100 * share).toFixed(1))} %`;
  const errors = alpha === beta ? round(alpha) : `${round(alpha)} and ${round(beta)}`;
  return `A learning curve (CUSUM) takes every attempt recorded since the record began, not only those of this time: it has a memory. It is held against ${round(acceptable)} failing as acceptable and ${round(unacceptable)} as not, with a chance of ${errors} for either error. It is feedback, not a licence.`;
}

/** A learning curve in words. */
export function curveWords({ attempts, failures, stands, decidedAt }: WardAudit['curves'][number]): string {
  const told = `${counted(attempts, 'attempt', 'attempts')} recorded, ${failures} failed`;
  switch (stands) {
    case 'not decided':
      return `${told}: the curve has crossed neither limit; ${tooFewWords} yet.`;
    case 'acceptable':
      return `${told}: the curve’s latest crossing, at try ${decidedAt}, says acceptable.`;
    case 'unacceptable':
      return `${told}: the curve’s latest crossing, at try ${decidedAt}, says that more failed than is acceptable, a reason to look at it together and to practise.`;
  }
}

/** When somebody last tried to place a line, and whether practice has lapsed by the ward's own rule. */
export function practiceWords(
  { lastAttemptAt, lapsed }: WardAudit['practice'][number],
  { lines: { period }, lapsedAfterDays }: Pick<WardAudit, 'lapsedAfterDays'> & { lines: { period: Period } },
  zone: string,
): string {
  const days = Math.floor((period.toMs - lastAttemptAt) / (24 * hourMs));
  const day = DateTime.fromMillis(lastAttemptAt, { zone, locale: 'en' }).toFormat('d LLL yyyy');
  const when = `Last attempt recorded: ${day}${days > 0 ? `, ${counted(days, 'day')} before the end of this time` : ''}.`;
  return lapsed
    ? `${when} By this ward’s ${lapsedAfterDays} days practice has lapsed: practise before the next one, or place it with somebody beside you.`
    : when;
}

/** Said once on every report. */
export const auditCaution =
  'A count of what was recorded, for learning. It judges nobody; attending clinician, hospital protocol and local codes decide.';
