import { dwellLimitAt } from '../../domain/duties/dwell.ts';
import { pressureBeyond } from '../../domain/duties/finding-seen.ts';
import { type DutyKind, isDwell } from '../../domain/duty-kind.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { beyondAt } from '../../domain/reading/beyond-limits.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { minuteMs } from '../../domain/time.ts';
import { doubtsOfReading } from '../../domain/trust/doubts-of-reading.ts';
import { signWords } from '../faults/fault-words.ts';
import { isMention } from '../rich-text.ts';
import { shorten } from '../shorten.ts';
import { animalName } from './animal-names.ts';
import { capital } from './duty-words.ts';
import { clockText, lateText, placeWords, spanText } from './line-words.ts';
import { partBelow } from './part-below.ts';

/** Characters of a message within which a locked phone must have said everything. Phones show 120 to 150: from memory. */
export const lockScreenMax = 120;

/** One line of which something is late, with its duties: worst first. */
export interface LateLine {
  line: LineState;
  duties: readonly { kind: DutyKind; dueAt: number }[];
  /** Who knows of the worst of them already. */
  heard: Heard;
}

/**
 * Who knows of it, and since when (ms). `who`: a name, rich text; null: the ward as a whole. `at`: null where the line is
 * with somebody who was not asked yet.
 */
export interface Heard {
  who: string | null;
  at: number | null;
  did: 'asked' | 'could not' | 'saw it' | 'left it' | 'has it';
}

/**
 * What a clinician reads on a locked phone, in at most 120 characters: the patient in capitals, species, what, how late, the
 * risk, who was asked and since when, and what is asked of the reader. Of several lines the first is named and the others are
 * named. Too long, it is cut in this order: surnames, the others' names, what else is late, names of people and animals at
 * the end of a word; what is asked is never cut. `at`: when the message was made, ms. `ward`: what the ward is called, where a
 * clinician may have several; two of them may have a Biscuit.
 *
 * Example: `BISCUIT dog: flush 20 min late, may clot. Asked Nina Vale 21:10. +2: Juno, Otto. Call the ward or take it.`
 */
export function lockScreenText(
  late: readonly LateLine[],
  policy: WardPolicy,
  at: number,
  ward: string | null = null,
): string {
  const [worst, ...others] = late;
  const first = worst?.duties[0];
  if (!worst || !first) return '';
  const parts: Parts = {
    patient: cuts(worst.line.patient.name, 8).map((name) => name.toLocaleUpperCase('en')),
    animal: cuts(animalName(worst.line.patient), 7),
    what: whatForms(worst.line, first.kind, policy),
    more: moreForms(worst.duties.length - 1),
    late: lateForms(first, worst.line, policy, at),
    heard: heardForms(worst.heard, policy, at),
    others: othersForms(worst.line, others),
    ward: ward === null ? ['the ward'] : wardForms(ward),
  };
  const risk = riskOf(worst.line, first.kind, policy);
  const said = (forms: Shown) =>
    `${forms.patient} ${forms.animal}: ${forms.what}${forms.late}${forms.more}, ${risk}. ` +
    `${forms.heard}. ${forms.others === '' ? '' : `${forms.others}. `}Call ${forms.ward} or ${ask[first.kind] ?? 'take it'}.`;
  return fitted(parts, said);
}

/** What can be said in more or fewer words, the fullest first. */
type Parts = Record<(typeof cutOrder)[number], readonly string[]>;
type Shown = Record<(typeof cutOrder)[number], string>;

/** What is said in fewer words first where all of it does not fit. */
const cutOrder = ['heard', 'others', 'more', 'patient', 'animal', 'what', 'late', 'ward'] as const;

function fitted(parts: Parts, said: (shown: Shown) => string): string {
  const at = Object.fromEntries(cutOrder.map((part) => [part, 0])) as Record<keyof Parts, number>;
  const shown = () =>
    Object.fromEntries(cutOrder.map((part) => [part, parts[part][at[part]] ?? ''])) as Shown;
  for (const part of cutOrder) {
    while (said(shown()).length > lockScreenMax && at[part] < parts[part].length - 1) at[part] += 1;
  }
  return said(shown());
}

/** `text` whole, then with fewer and fewer words; within a word only where the first alone is longer than `least`. */
function cuts(text: string, least: number): string[] {
  const words = text.split(/\s+/);
  const shorter = words
    .map((_, index) => words.slice(0, words.length - index).join(' '))
    .filter((cut, index) => index === 0 || cut.length >= least / 2);
  const shortest = shorter.at(-1) ?? text;
  const all = shorter.map((cut, index) => (index === 0 ? cut : `${cut}…`));
  if ((all.at(-1) ?? '').length <= least) return all;
  const within = shorten(shortest, least);
  return [...all, within === '…' ? shorten(shortest, 2 * least) : within];
}

/** `#cat-icu`; of a longer name its two ends, `#critical…unit-cats`, since two wards may begin alike. */
function wardForms(ward: string): string[] {
  const letters = Array.from(ward);
  const forms = [9, 6, 4].map((half) =>
    letters.length <= 2 * half + 1
      ? ward
      : `${letters.slice(0, half).join('')}…${letters.slice(-half).join('')}`,
  );
  return [...forms, 'the ward'];
}

/** What is asked of the reader where that is more than care somebody must see to. */
const ask: Partial<Record<DutyKind, string>> = {
  dwellLimit: 'decide',
  dwellWarning: 'decide',
  stillNeeded: 'answer',
};

/** Each duty and what leaving it may do, in as few words as a clinician understands half asleep. */
const brief: Record<DutyKind, { what: string; short?: string; risk: string }> = {
  finding: { what: 'finding', risk: 'limb at risk' },
  fault: { what: 'fault not solved', risk: 'may clot' },
  faultOpen: { what: 'fault left half way', risk: 'may clot' },
  dwellLimit: { what: 'dwell limit', risk: 'limb at risk' },
  dwellWarning: { what: 'dwell limit', risk: 'limb at risk' },
  hold: { what: 'look at the puncture', short: 'puncture', risk: 'may bleed' },
  flush: { what: 'flush', risk: 'may clot' },
  runOut: { what: 'new flush source', risk: 'may clot' },
  zero: { what: 'zero and level', risk: 'may read wrong' },
  test: { what: 'fast-flush test', short: 'flush test', risk: 'may read wrong' },
  source: { what: 'flush source check', short: 'flush source', risk: 'may clot' },
  site: { what: 'site and limb check', short: 'site check', risk: 'limb at risk' },
  pulse: { what: 'pulse check', risk: 'limb at risk' },
  pulseNextDay: { what: 'next-day pulse check', short: 'pulse check', risk: 'limb at risk' },
  redress: { what: 'redress', risk: 'infection risk' },
  stillNeeded: { what: '“still needed?”', risk: 'needless risk' },
  set: { what: 'new transducer set', short: 'new set', risk: 'infection risk' },
};

function riskOf(line: LineState, kind: DutyKind, policy: WardPolicy): string {
  if (kind !== 'finding' || line.finding || line.tipMissing) return brief[kind].risk;
  const reading = pressureBeyond(line, policy);
  const isHigh = reading && beyondAt(reading, reading.at, line, policy)[0]?.side === 'above';
  return isHigh ? 'may bleed' : 'organs at risk';
}

function whatForms(line: LineState, kind: DutyKind, policy: WardPolicy): string[] {
  if (kind === 'fault' && line.faultLeft)
    return [`fault not solved (${signWords(line.faultLeft.sign)})`, 'fault not solved'];
  if (kind !== 'finding') {
    const { what, short } = brief[kind];
    return short === undefined ? [what] : [what, short];
  }
  const seen = seenWords(line, policy);
  if (seen.length === 0) return [brief.finding.what];
  return seen.map((_, index) => seen.slice(0, seen.length - index).join(', '));
}

/** What was found, worst first; a pressure says whether it is doubtful. */
function seenWords(line: LineState, policy: WardPolicy): string[] {
  const part = partBelow(line.site);
  const site = line.finding?.site;
  const limb = line.finding?.limb;
  const reading = pressureBeyond(line, policy);
  const beyond = reading ? beyondAt(reading, reading.at, line, policy)[0] : undefined;
  const isDoubtful = beyond !== undefined && doubtsOfReading(line, policy).length > 0;
  const seen = [
    line.tipMissing && 'catheter tip not whole',
    site?.noPulse && 'no pulse below',
    limb && (limb.pulse === 'cannot tell' ? 'pulse unclear' : `pulse ${limb.pulse}`),
    (site?.cold || limb?.cold) && `cold ${part}`,
    site?.swelling && 'swelling',
    site?.ooze && 'ooze',
    site?.pain && 'pain',
    beyond && `${beyond.what} ${beyond.mmHg} mmHg${isDoubtful ? ' (doubtful)' : ''}`,
  ];
  return seen.filter((words) => typeof words === 'string');
}

/** ` 20 min late`, and in fewer words ` >1 h late`; empty for what is the clinician's from the first. */
function lateForms(
  { kind, dueAt }: LateLine['duties'][number],
  line: LineState,
  policy: WardPolicy,
  at: number,
): string[] {
  if (kind === 'finding' || kind === 'fault') return [''];
  if (kind === 'dwellWarning') return [` at ${clockText(policy, dwellLimitAt(line, policy), at)}`];
  if (dueAt >= at + minuteMs) return [` due ${clockText(policy, dueAt, at)}`];
  const late = lateText(dueAt, at);
  if (late === 'now') return [isDwell(kind) ? ' reached now' : ' due now'];
  const [span = ''] = late.split(' late');
  const whole = wholeUnit(span);
  const words = isDwell(kind) ? (some: string) => ` passed ${some} ago` : (some: string) => ` ${some} late`;
  return whole === span ? [words(span)] : [words(span), words(`>${whole}`)];
}

function moreForms(count: number): string[] {
  return count < 1
    ? ['']
    : [` and ${count} more ${count === 1 ? 'duty' : 'duties'}`, ` and ${count} more`, ''];
}

function heardForms({ who, at: since, did }: Heard, policy: WardPolicy, at: number): string[] {
  const when = since === null ? '' : ` ${sinceText(policy, since, at)}`;
  if (who === null) return [`Asked the ward${when}`];
  return peopleForms(who).map((name) => {
    if (did === 'has it') return `With ${name}`;
    if (did === 'asked') return `Asked ${name}${when}`;
    return did === 'could not' ? `${capital(name)} couldn’t,${when}` : `${capital(name)} ${did}${when}`;
  });
}

/** A name whole, then the given name. A mention stands for a name that is not known; it would call its person once more. */
function peopleForms(who: string): string[] {
  if (isMention(who)) return ['the nurse'];
  const name = who;
  const first = name.split(/\s+/).find((word) => !/^(?:dr|mr|mrs|ms|prof)\.?$/i.test(word)) ?? name;
  return [name, first, ...(first.length > 8 ? [shorten(first, 8)] : [])];
}

/** `14 h` of `14 h 20 min`. */
function wholeUnit(span: string): string {
  return span.split(' ').slice(0, 2).join(' ');
}

/** `21:10`; `14 h ago` where the clock alone does not say which. */
function sinceText(policy: WardPolicy, since: number, at: number): string {
  const clock = clockText(policy, since, at);
  return clock.length <= 5 ? clock : `${wholeUnit(spanText(at - since))} ago`;
}

/** `+2: Juno, Otto`, with fewer and fewer names; the worst's other lines by where they are. */
function othersForms({ patient }: LineState, others: readonly LateLine[]): string[] {
  if (others.length === 0) return [''];
  const names = others.map(({ line }) =>
    line.patient.name === patient.name ? placeWords(line) : line.patient.name,
  );
  const count = `+${others.length}`;
  const named = names.map((_, index) => {
    const kept = names.slice(0, names.length - index).join(', ');
    return `${count}: ${kept}${index === 0 ? '' : ' …'}`;
  });
  return [...named, count];
}
