import { DateTime } from 'luxon';
import type { Period } from '../../domain/audit/line-course.ts';
import type { WardAudit } from '../../domain/audit/ward-audit.ts';
import { hourMs } from '../../domain/time.ts';
import { counted, shareText, tooFewWords } from './figure-text.ts';

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
  const sentence = `${counted(attempts, 'attempt', 'attempts')} recorded, ${failures} failed`;
  switch (stands) {
    case 'not decided':
      return `${sentence}: the curve has crossed neither limit; ${tooFewWords} yet.`;
    case 'acceptable':
      return `${sentence}: the curve’s latest crossing, at try ${decidedAt}, says acceptable.`;
    case 'unacceptable':
      return `${sentence}: the curve’s latest crossing, at try ${decidedAt}, says that more failed than is acceptable, a reason to look at it together and to practise.`;
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
