import type { Post, WardView } from '../../app/ports.ts';
import type { Names } from '../../wording/names.ts';
import { type Message, paragraph } from '../parts.ts';

/** The ward's policy was changed: who did it, what was typed of it, and the numbers that matter most now. */
export async function policyMessage(post: Post, { ward }: WardView, names: Names): Promise<Message> {
  const { policy } = ward;
  const by = await names.of(post.about?.user ?? 'bot');
  const shifts = policy.shifts.shifts.map(({ name, startsAt }) => `${name} ${startsAt}`).join(', ');
  const says = post.about?.text;
  const isTakenBack = says === 'taken back';
  const text =
    `${by} ${isTakenBack ? 'took the latest change of the ward policy back' : 'changed the ward policy'}.${says === undefined || isTakenBack ? '' : ` ${says}`} Shifts ${shifts} (${policy.shifts.zone}). Flush by hand every ${policy.flushEveryMin} min, ` +
    `redress every ${policy.redressEveryH} h, site and limb every ${policy.siteCheckEveryH} h, ` +
    `cat’s dwell: warning ${policy.catDwellWarningH} h, limit ${policy.catDwellLimitH} h.` +
    // Whose learning curves are seen by somebody must know by whom.
    (policy.lead === null
      ? ''
      : ` Ward lead, who sees everybody’s learning curve: ${await names.of(policy.lead)}.`);
  return { lead: text, parts: [paragraph(text)], settled: true };
}
