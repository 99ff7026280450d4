import type { Caution, Screening } from '../../domain/placing/screening.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import type { Names } from '../names.ts';
import { quoted } from '../shorten.ts';

/** Why a patient gets an arterial line, in the trade's words; what is chosen fills "Why it was placed". */
export const reasonsForLine = [
  'Unstable circulation, vasopressors',
  'Major surgery or anaesthesia',
  'Repeated blood gases',
  'Ventilated',
  'Severe low or high blood pressure',
] as const;

/** Why a line is in, for the middle of a sentence: a reason that was chosen begins small, what somebody wrote stays. */
export function reasonWords(indication: string): string {
  const isChosen = (reasonsForLine as readonly string[]).includes(indication);
  return isChosen ? indication.charAt(0).toLocaleLowerCase('en') + indication.slice(1) : indication;
}

/** A caution as a row to tick: its name, and what it means in at most 75 characters. */
export function cautionRow(caution: Caution, policy: WardPolicy): { label: string; means: string } {
  switch (caution) {
    case 'bleeding disorder':
      return {
        label: 'Bleeding disorder',
        means: `Haematoma. Choose a site that can be pressed on; hold ${policy.holdBleedingMin} min after.`,
      };
    case 'clotting unknown':
      return {
        label: 'Clotting not known',
        means: 'May bleed like one that cannot clot. Ask whether to test first.',
      };
    case 'walking patient':
      return {
        label: 'Walking patient',
        means: 'Pulled out or open, it bleeds fast. Not left unwatched.',
      };
    case 'cat':
      return {
        label: 'Cat',
        means: `Clot and limb loss: warned at ${policy.catDwellWarningH} h, limit ${policy.catDwellLimitH} h on this ward.`,
      };
    case 'broken skin':
      return { label: 'Broken or infected skin there', means: 'Infection. Look for another artery.' };
    case 'no pulse or collateral flow':
      return {
        label: 'No pulse, or no other flow to the limb',
        means: 'What lies below may die. Look for another artery.',
      };
  }
}

/** More of what a caution means, where it is published: for the form that follows; plain text. */
export function cautionPublished(caution: Caution): string {
  switch (caution) {
    case 'bleeding disorder':
    case 'clotting unknown':
      return 'Published: avoid with platelets below 50,000/µL, or with PT and aPTT both prolonged (Mazzaferro, Small Animal Critical Care Medicine, 2nd ed., ch. 201).';
    case 'cat':
      return 'Published for cats: few other vessels feed the limb; avoid very distal sites, 24 h at most (van den Herik & Gommeren); the ward’s limit counts here.';
    case 'walking patient':
    case 'broken skin':
    case 'no pulse or collateral flow':
      return '';
  }
}

/** What to have at hand, a line each; common practice, but for the bag's pressure no source. Plain text. */
export function kitList(policy: WardPolicy): string[] {
  return [
    'catheter and a spare, clippers, skin prep, gloves',
    'stiff, low-compliance tubing, short, primed free of air; three-way tap',
    `transducer; bag at ${policy.sourcePressureMmHg} mmHg, or a syringe`,
    'tape and dressing; label “ARTERIAL, no injections”; collar',
  ];
}

/** `cautions: bleeding disorder, cat` or `screened: no cautions`. */
export function cautionsWords({ cautions }: Pick<Screening, 'cautions'>): string {
  return cautions.length === 0 ? 'screened: no cautions' : `cautions: ${cautions.join(', ')}`;
}

/** What was looked at before placing and who let it be placed all the same; `not screened` where nobody said of any look. */
export async function screenedWords(
  line: Pick<LineState, 'screening' | 'knownSince'>,
  names: Names,
  clock: (atMs: number) => string,
): Promise<string> {
  const { screening } = line;
  if (!screening) return 'not screened';
  const { override, undecided } = screening;
  const what = override && override.at > line.knownSince ? 'left in' : 'placed';
  const decided = override
    ? `; ${what} by decision of ${await names.of(override.clinician)}, recorded ${clock(override.at)}: ${quoted(override.reason)}`
    : '';
  const on = undecided?.length === screening.cautions.length ? '' : ` on ${undecided?.join(', ')}`;
  const open = undecided ? `; no clinician has decided${on} yet` : '';
  return `${cautionsWords(screening)}${decided}${open}`;
}

/** `by Noor at the 2nd try`: who placed a line and how many tries it took, as far as recorded. */
export async function placedByWords(
  line: Pick<LineState, 'placed' | 'operator' | 'tries'>,
  names: Names,
): Promise<string> {
  const by = await names.of(line.operator ?? line.placed.by);
  return line.tries === null ? `by ${by}` : `by ${by} at the ${ordinal(line.tries)} try`;
}

const endings = ['th', 'st', 'nd', 'rd'];

/** `1st`, `2nd`; for the few tries that one report can have. */
function ordinal(count: number): string {
  return `${count}${endings[count] ?? 'th'}`;
}
