import type { WardView } from '../../app/ports.ts';
import { nightChoiceOf } from '../../domain/policy/night-choice.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { onCallAt } from '../../domain/ward/on-call.ts';
import { capital } from '../../wording/care/duty-words.ts';
import { clockText, standingCaution } from '../../wording/care/line-words.ts';
import type { Names } from '../../wording/names.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { buttonRow, type Message, paragraph, smallPrint } from '../parts.ts';

/** Said to whoever names the bot where the offer stands already, with `setUpButton`. */
export const setUpFirst = 'Not recorded: this channel isn’t set up as a ward yet.';

/** The one button of a channel that is no ward yet. */
export function setUpButton(wardId: string) {
  const value = actionValue({ w: wardId });
  return [
    paragraph(setUpFirst),
    buttonRow('setup', [{ action: 'open:setup', text: 'Set this ward up…', value, primary: true }]),
  ];
}

/** A new ward's first message: one button that sets it up. Once somebody did, what was set. */
export async function setUpMessage({ ward }: WardView, names: Names, now: number): Promise<Message> {
  const value = actionValue({ w: ward.id });
  if (!ward.policySet) {
    const text = `Set this ward up first: one form, with the usual answers filled in. I’ll then remind this channel about its arterial lines and post a handover before each shift change. Until then: ${clockWords(ward.policy)}, nobody on call.`;
    return {
      lead: text,
      parts: [
        paragraph(text),
        buttonRow('setup', [{ action: 'open:setup', text: 'Set this ward up…', value, primary: true }]),
        smallPrint(standingCaution),
      ],
      settled: false,
    };
  }
  const text = await setUpWords({ ward }, names, now);
  return {
    lead: text,
    parts: [
      paragraph(text),
      buttonRow('setup', [
        { action: 'open:place', text: 'Register a line', value, primary: true },
        { action: 'open:oncall', text: 'On call…', value },
        { action: 'open:policy', text: 'Ward policy…', value },
      ]),
    ],
    settled: true,
  };
}

/** What a ward was set up with, by whom and when. */
export async function setUpWords(
  { ward }: Pick<WardView, 'ward'>,
  names: Names,
  now: number,
): Promise<string> {
  const { policy, policySet } = ward;
  const onCall = onCallAt(ward, policySet?.at ?? now);
  const by = policySet
    ? ` by ${await names.of(policySet.by)}, ${clockText(policy, policySet.at, policySet.at)}`
    : '';
  return [
    `This ward was set up${by}. ${capital(clockWords(policy))}.`,
    onCall === null
      ? rich`*Nobody is on call*: danger wakes nobody until somebody is.`
      : `Put on call: ${await names.of(onCall)}.`,
    policy.backup === null ? 'No backup.' : `Backup: ${await names.of(policy.backup)}.`,
    nightChoiceOf(policy) === 'all late care'
      ? 'All late care may wake the clinician.'
      : `From ${policy.waking.to} to ${policy.waking.from} only danger wakes the clinician.`,
    `Flush by hand every ${policy.flushEveryMin} min; the rest is in the ward policy.`,
  ].join(' ');
}

function clockWords({ shifts: { zone, shifts } }: WardPolicy): string {
  const each = shifts.map(({ name, startsAt }) => `${name} ${startsAt}`).join(', ');
  return `clock ${zone}, shifts ${each}`;
}
