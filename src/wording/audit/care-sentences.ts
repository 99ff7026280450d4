import type { CareOnTime } from '../../domain/audit/care-on-time.ts';
import type { TimedDutyKind } from '../../domain/audit/duty-outcomes.ts';
import type { PulseLook } from '../../domain/audit/pulse-after-removal.ts';
import type { WardAudit } from '../../domain/audit/ward-audit.ts';
import { counted, decimal, durationText, shareText, tooFewWords, whole } from './figure-text.ts';

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
export function careSentences({ lines: { careOnTime } }: WardAudit): string[] {
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

export function alertSentences(audit: WardAudit): string[] {
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
    `${counted(messages.nudges, 'reminder')} in the channel, ${whole(messages.toNurse)} to a nurse or whoever leads them, ${whole(messages.toClinician)} to the clinician on call or the backup${
      messages.toNobody > 0
        ? `, ${whole(messages.toNobody)} cried out in the channel, where nobody was on call or nobody answered`
        : ''
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

export function pulseSentences({ lines: { pulseAfterRemoval } }: WardAudit): string[] {
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
  const sentence =
    absent.total > 0
      ? [
          `present ${whole(present)}, weak ${whole(weak)}, absent ${whole(found.absent)}`,
          `absent in ${shareText(absent)}`,
          ...(weak > 0 ? [`absent or weak in ${shareText(absentOrWeak)}`] : []),
        ]
      : [];
  return [...sentence, ...rest].join('; ');
}

export function bloodSentences({ lines: { bloodTaken } }: WardAudit): string[] {
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
