import { createHash } from 'node:crypto';
import { auditPeriod, isAuditPost } from '../app/audit-posts.ts';
import { AuditFailed, type Audits } from '../app/audits.ts';
import { within } from '../app/clock.ts';
import { handoverFileOf } from '../app/handover-posts.ts';
import type { Composed, Post, WardView } from '../app/ports.ts';
import { asTyped } from '../chat/as-typed.ts';
import { notCounted, personalReports, wardReport } from '../chat/messages/audit-report.ts';
import { composeMessage } from '../chat/messages/compose.ts';
import type { HandoverFiles } from '../chat/messages/handover-files.ts';
import type { Message } from '../chat/parts.ts';
import { wasUnreached } from '../domain/ward/unreached.ts';
import type { Names } from '../wording/names.ts';
import { drawnMessage } from './render/message.ts';

/** What the words of a post are made with. `handoverFiles`: null where a handover brings no files with it. */
interface Composing {
  names: Names;
  audits: Audits;
  handoverFiles: HandoverFiles | null;
  command: string;
}

/** A post as the platform draws it, and whether it is settled. */
export async function composePost(
  { names, audits, handoverFiles, command }: Composing,
  post: Post,
  view: WardView,
  now: number,
): Promise<Composed> {
  // A file is made as it is sent; where none are, there is none to send.
  if (handoverFileOf(post))
    return { message: view.handedOver, hash: post.key, settled: true, superseded: handoverFiles === null };
  const counted = isAuditPost(post) ? await auditMessage(post, view, { names, audits, now }) : undefined;
  if (counted === null) return { message: null, hash: '', settled: false, notYet: true };
  const said = counted ?? (await composeMessage(post, view, names, now));
  const message = asTyped(drawnMessage(said), command);
  const hash = createHash('sha256')
    .update(JSON.stringify([message.text, message.blocks]))
    .digest('base64url')
    .slice(0, 12);
  const { settled, superseded = false, pages } = said;
  const isDoubted = post.to !== 'ward' && wasUnreached(view.ward, post.to.user, now);
  return {
    message,
    hash,
    settled,
    superseded,
    ...(pages ? { pages } : {}),
    ...(isDoubted ? { wasUnreached: true } : {}),
  };
}

/** How long a message waits for a count that is not kept, ms: reminders that come after it do not wait longer. */
const countPatienceMs = 1_000;
/** How long a message whose count fails is put off before it says so instead, ms: a month's report is made but once. */
const failurePatienceMs = 30 * 60_000;

/**
 * The words of a post about an audit, which is counted again where it is not kept; null while it is being counted, and where
 * the count failed and may yet succeed.
 */
async function auditMessage(
  post: Post,
  { ward }: WardView,
  { names, audits, now }: { names: Names; audits: Audits; now: number },
): Promise<Message | null> {
  const { zone } = ward.policy.shifts;
  const period = auditPeriod(post) ?? { fromMs: post.at, toMs: post.at + 1 };
  try {
    // One that takes longer goes on and is kept; of a failure the next who asks hears.
    const counted = await within(countPatienceMs, audits.of(ward.id, period, { keptWillDo: true }));
    if (!counted) return null;
    const { audit, curvePictures } = counted;
    const report = { wardId: ward.id, audit, zone };
    const { page = 1, pages = 1 } = post.about ?? {};
    if (post.to === 'ward') return wardReport(report, { page, pages });
    const { user } = post.to;
    // Who leads is asked of the ward as it is now: a former lead is sent their own tries alone.
    const all = await personalReports(report, { user, lead: ward.policy.lead }, names, {
      wanted: 'their own',
      drawn: Object.keys(curvePictures),
    });
    return all[page - 1] ?? { lead: '', parts: [], settled: true, superseded: true };
  } catch (error) {
    if (!(error instanceof AuditFailed)) throw error;
    if (now - post.at < failurePatienceMs) return null;
    return notCounted(ward.id, period, zone);
  }
}
