import { isDeepStrictEqual } from 'node:util';
import { noticePost } from '../../app/notice-post.ts';
import { recordOnWard } from '../../app/record-on-ward.ts';
import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { mayNameLead } from '../../domain/ward/ward-lead.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { sayOfWard } from '../answers/take-back.ts';
import type { Bot, Caller } from '../bot.ts';
import { type FormErrors } from '../form.ts';
import type { readPolicyForm } from '../forms/policy-form.ts';
import { namedFault } from '../named-person.ts';
import { policyFromWords } from '../typed/policy-words.ts';
import { notRecorded, type Result } from './form-result.ts';

/** Sets the policy that a form sent, unless somebody else changed it meanwhile. */
export async function policy(
  bot: Bot,
  caller: Caller,
  before: WardState,
  read: ReturnType<typeof readPolicyForm>,
): Promise<Result> {
  if (read.is !== 'ok') return notRecorded(read);
  const isNamed = read.policy.lead !== before.policy.lead;
  if (isNamed && !mayNameLead(before, caller.user, bot.deps.clock.now()))
    return {
      is: 'wrong',
      errors: {
        lead: 'Only the ward lead, a clinician of this policy or whoever is on call can change the ward lead, who sees everybody’s learning curve. Put it back as it was, or ask one of them.',
      },
    };
  const errors = await wronglyNamed(bot, caller.wardId, before.policy, read.policy);
  if (Object.keys(errors).length > 0) return { is: 'wrong', errors };
  const result = await set(bot, caller, 'form', read);
  // Pressed again after the record was slow to answer: what stands may be what this very form wrote.
  if (result.is !== 'taken' && isDeepStrictEqual(read.policy, result.view.ward.policy)) {
    return {
      is: 'done',
      afterwards: () => caller.say('The ward policy is as in this form. Nothing was written twice.'),
    };
  }
  if (result.is !== 'taken') {
    return {
      is: 'wrong as a whole',
      message:
        'Somebody else changed the policy while this form was open. Close it, open it again and make your change on what stands now.',
    };
  }
  return {
    is: 'done',
    afterwards: () =>
      sayOfWard(
        caller,
        'Ward policy changed. It applies to every line from now on, and I’m telling the channel.',
        result.view.ward,
        'policy',
      ),
  };
}

/** Writes a policy that was made from the one with the number `basedOn`, and tells the channel. `says`: what it changes, in words. */
function set(
  bot: Bot,
  caller: Caller,
  via: 'form' | 'command',
  { policy, basedOn, says }: { policy: WardPolicy; basedOn: number; says?: string },
): ReturnType<typeof recordOnWard> {
  return recordOnWard(
    bot.deps,
    { wardId: caller.wardId, by: caller.user, via, once: caller.once },
    { kind: 'policySet', body: { policy } },
    (view, now) => {
      const about = {
        what: 'policy',
        user: caller.user,
        for: view.ward.policyVersion,
        ...(says === undefined ? {} : { text: says }),
      };
      return [noticePost(`2.policy.${now.toString(36)}`, 'ward', now, about)];
    },
    (ward) => ward.policyVersion === basedOn,
  );
}

/** Sets what was typed of the policy: how urgent a duty is, or what to do when a finding comes back. */
export async function policyTyped(bot: Bot, caller: Caller, rest: string): Promise<void> {
  const ward = await bot.deps.record.readWardState(caller.wardId);
  const read = policyFromWords(rest, ward.policy, bot.command);
  if (read.is === 'wrong') return caller.say(read.message);
  if (isDeepStrictEqual(read.policy, ward.policy)) return caller.say(`It’s already like that. ${read.says}`);
  const result = await set(bot, caller, 'command', {
    policy: read.policy,
    basedOn: ward.policyVersion,
    says: read.says,
  });
  if (result.is !== 'taken' && !isDeepStrictEqual(read.policy, result.view.ward.policy))
    return caller.say('Somebody else changed the policy just now, so nothing was changed. Type it again.');
  return sayOfWard(
    caller,
    `Ward policy changed. ${read.says} I’m telling the channel.`,
    result.view.ward,
    'policy',
  );
}

const notMe = 'That’s me, and nobody reads what I’m told. Choose a person.';

/** Those whom the policy names anew and who can't be told anything, by the form's question. */
async function wronglyNamed(
  bot: Bot,
  wardId: string,
  before: WardPolicy,
  after: WardPolicy,
): Promise<FormErrors> {
  const named = (policy: WardPolicy): [blockId: string, user: string][] => [
    ...(policy.lead === null ? [] : [['lead', policy.lead] as [string, string]]),
    ...(policy.backup === null ? [] : [['backup', policy.backup] as [string, string]]),
    ...policy.clinicians.map((user): [string, string] => ['clinicians', user]),
    ...policy.shifts.shifts.flatMap(({ name }, index): [string, string][] => [
      ...(policy.rota[name] === undefined ? [] : [[`rota:${index}`, policy.rota[name]] as [string, string]]),
      ...(policy.inCharge[name] === undefined
        ? []
        : [[`inCharge:${index}`, policy.inCharge[name]] as [string, string]]),
    ]),
  ];
  const stood = new Set(named(before).map((one) => one.join(' ')));
  const errors: FormErrors = {};
  for (const [blockId, user] of named(after)) {
    if (stood.has(`${blockId} ${user}`)) continue;
    const fault = user === bot.userId ? notMe : await namedFault(bot, wardId, user);
    if (fault !== null) errors[blockId] = fault;
  }
  return errors;
}
