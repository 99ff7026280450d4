import { recurringFindings } from '../../domain/policy/again-for.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { capital, dutyName } from '../../wording/care/duty-words.ts';
import { cautionRow } from '../../wording/care/screening-words.ts';
import type { Names } from '../../wording/names.ts';
import { quoted } from '../../wording/shorten.ts';
import { numbersOf, policyNumbers } from '../policy-numbers.ts';
import { findingName } from '../typed/policy-words.ts';

/** What of a policy is another than before, each with what it was: `Manual flush every 60 → 45 min`. */
export async function policyChanges(before: WardPolicy, after: WardPolicy, names: Names): Promise<string[]> {
  const [was, is] = [await said(before, names), await said(after, names)];
  const gone = [...was.keys()].filter((label) => !is.has(label));
  const single = [...is.keys(), ...gone].flatMap((label) => {
    const [old = 'nobody', now = 'nobody'] = [was.get(label), is.get(label)];
    return old === now ? [] : [`${label}: ${old} → ${now}`];
  });
  return [...numberChanges(before, after), ...single, ...(await listChanges(before, after, names))];
}

function numberChanges(before: WardPolicy, after: WardPolicy): string[] {
  const [was, is] = [numbersOf(before), numbersOf(after)];
  const redress = [before.redressEveryH, after.redressEveryH];
  const numbers = policyNumbers.flatMap(({ id, label, unit }) => {
    const [old, now] = [was[id], is[id]];
    if (old === now) return [];
    const words = (number: number | undefined) => (number === undefined ? 'never' : `${number} ${unit}`);
    const isNumber = old !== undefined && now !== undefined;
    return [`${label} ${isNumber ? old : words(old)} → ${words(now)}`];
  });
  return redress[0] === redress[1] ? numbers : [...numbers, `Redress every ${redress.join(' → ')} h`];
}

/** What a policy says of what isn't a number or a list, by its label. */
async function said(policy: WardPolicy, names: Names): Promise<Map<string, string>> {
  const { shifts, rota, inCharge, waking, againFor } = policy;
  const people = (label: string, byShift: Readonly<Record<string, string>>) =>
    Object.entries(byShift).map(([shift, user]): [string, string] => [`${label}, ${shift}`, user]);
  const named: [string, string][] = [
    ...people('On call by rota', rota),
    ...people('Nurse in charge', inCharge),
    ...(policy.backup === null ? [] : [['Backup', policy.backup] as [string, string]]),
    ...(policy.lead === null ? [] : [['Ward lead', policy.lead] as [string, string]]),
  ];
  const findings = recurringFindings.map((finding): [string, string] => {
    const words = againFor[finding];
    return [
      `When ${findingName(finding)} comes back`,
      words === undefined ? 'the usual words' : quoted(words),
    ];
  });
  return new Map([
    ['Shifts', shifts.shifts.map(({ name, startsAt }) => `${name} ${startsAt}`).join(', ')],
    ['The ward’s clocks', shifts.zone],
    ['A clinician is told of other late care', `${waking.from} to ${waking.to}`],
    ['The day’s “still needed?” list', policy.questionsAt],
    ...findings,
    ...(await Promise.all(
      named.map(async ([label, user]): Promise<[string, string]> => [label, await names.of(user)]),
    )),
  ]);
}

/** What was added to the lists of a policy and taken off them. */
async function listChanges(before: WardPolicy, after: WardPolicy, names: Names): Promise<string[]> {
  const clinicians = (policy: WardPolicy) => Promise.all(policy.clinicians.map((user) => names.of(user)));
  const cautions = (policy: WardPolicy) => policy.overrideFor.map((one) => cautionRow(one, after).label);
  const wakes = (policy: WardPolicy) => policy.dangerFor.map((kind) => dutyName(kind));
  return [
    listChange('Clinicians who may decide', await clinicians(before), await clinicians(after)),
    listChange('Before placing, a clinician decides for', cautions(before), cautions(after)),
    listChange('Wakes the clinician as soon as it’s due', wakes(before), wakes(after)),
  ].filter((words) => words !== '');
}

/** `Clinicians who may decide: now also Dr Ito; no longer Dr Holm`; empty where nothing changed. */
function listChange(label: string, before: readonly string[], after: readonly string[]): string {
  const added = after.filter((one) => !before.includes(one));
  const gone = before.filter((one) => !after.includes(one));
  const words = [
    ...(added.length > 0 ? [`now also ${added.join(', ')}`] : []),
    ...(gone.length > 0 ? [`no longer ${gone.join(', ')}`] : []),
  ];
  return words.length === 0 ? '' : `${capital(label)}: ${words.join('; ')}`;
}
