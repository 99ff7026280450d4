import { isDeepStrictEqual } from 'node:util';
import { noticePost } from '../../app/notice-post.ts';
import { tellWard } from '../../app/tell-ward.ts';
import { mayNameLead } from '../../domain/ward/ward-lead.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { sayOfWard } from '../answers/take-back.ts';
import type { Bot, Caller } from '../bot.ts';
import type { readPolicyForm } from '../forms/policy-form.ts';
import { notTold, type Result } from './form-result.ts';

/** Sets the policy that a form told, unless somebody else changed it meanwhile. */
export async function policy(
  bot: Bot,
  caller: Caller,
  before: WardState,
  read: ReturnType<typeof readPolicyForm>,
): Promise<Result> {
  if (read.is !== 'told') return notTold(read);
  const isNamed = read.policy.lead !== before.policy.lead;
  if (isNamed && !mayNameLead(before, caller.user, bot.deps.clock.now()))
    return {
      is: 'wrong',
      errors: {
        lead: 'Only the ward lead, a clinician of this policy or whoever is on call can change the ward lead, who sees everybody’s learning curve. Put it back as it was, or ask one of them.',
      },
    };
  const told = await tellWard(
    bot.deps,
    { wardId: caller.wardId, by: caller.user, via: 'form', once: caller.once },
    { kind: 'policySet', body: { policy: read.policy } },
    (view, now) => {
      const about = { what: 'policy', user: caller.user, for: view.ward.policyVersion };
      return [noticePost(`2.policy.${now.toString(36)}`, 'ward', now, about)];
    },
    (ward) => ward.policyVersion === read.basedOn,
  );
  // Pressed again after the record was slow to answer: what stands may be what this very form wrote.
  if (told.is !== 'taken' && isDeepStrictEqual(read.policy, told.view.ward.policy)) {
    return {
      is: 'done',
      afterwards: () => caller.say('The ward policy is as in this form. Nothing was written twice.'),
    };
  }
  if (told.is !== 'taken') {
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
        told.view.ward,
        'policy',
      ),
  };
}
