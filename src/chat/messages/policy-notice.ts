import type { Post, WardView } from '../../app/ports.ts';
import type { Names } from '../../wording/names.ts';
import { type Message, paragraph } from '../parts.ts';
import { policyChanges } from './policy-changes.ts';

/** Changes that a notice names; a ward changes one or two at a time. */
const mostNamed = 12;

/**
 * The ward's policy was changed: who did it, and what it was and is. Where that isn't known any more, since it was changed anew, the
 * numbers that matter most now.
 */
export async function policyMessage(post: Post, { ward }: WardView, names: Names): Promise<Message> {
  const { policy } = ward;
  const by = await names.of(post.about?.user ?? 'bot');
  const typed = post.about?.text;
  const isTakenBack = typed === 'taken back';
  const before = post.about?.for === ward.policyVersion ? ward.lastSet.policy?.before : undefined;
  const changes = before ? await policyChanges(before, policy, names) : [];
  const did = isTakenBack
    ? 'took the latest change of the ward policy back.'
    : before && changes.length === 0
      ? 'set the ward policy; nothing in it changed.'
      : 'changed the ward policy.';
  const says = typed === undefined || isTakenBack ? changesWords(changes) : typed;
  const text =
    `${by} ${did} ${says === '' ? mattersMost(ward) : says}` +
    // Whose learning curves are seen by somebody must know by whom.
    (policy.lead === null
      ? ''
      : ` Ward lead, who sees everybody’s learning curve: ${await names.of(policy.lead)}.`);
  return { lead: text, parts: [paragraph(text)], settled: true };
}

function changesWords(changes: readonly string[]): string {
  const named = changes.slice(0, mostNamed).map((words) => `${words}.`);
  const more = changes.length - named.length;
  return [...named, ...(more > 0 ? [`And ${more} more: /artline policy.`] : [])].join(' ');
}

function mattersMost({ policy }: WardView['ward']): string {
  const shifts = policy.shifts.shifts.map(({ name, startsAt }) => `${name} ${startsAt}`).join(', ');
  return (
    `Shifts ${shifts} (${policy.shifts.zone}). Flush by hand every ${policy.flushEveryMin} min, ` +
    `redress every ${policy.redressEveryH} h, site and limb every ${policy.siteCheckEveryH} h, ` +
    `cat’s dwell: warning ${policy.catDwellWarningH} h, limit ${policy.catDwellLimitH} h.`
  );
}
