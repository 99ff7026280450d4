import { isAudited, monthOwed, nextAuditAt } from '../domain/audit/month-audit.ts';
import type { WardAudit } from '../domain/audit/ward-audit.ts';
import type { WardPolicy } from '../domain/policy/ward-policy.ts';
import type { JobDeps } from './app-deps.ts';
import { personalReportPosts, wardReportPosts } from './audit-posts.ts';
import { AuditFailed, type Audits } from './audits.ts';
import { recordOnWard } from './record-on-ward.ts';

/** What a month’s audit needs besides what every job has. */
export interface AuditDeps extends JobDeps {
  audits: Audits;
  /** Messages that the ward's part fills, and that of its lead: how much fits one is for the chat platform to say. */
  pagesOf: (audit: WardAudit, policy: Pick<WardPolicy, 'lead' | 'shifts'>) => { ward: number; lead: number };
}

/** A count that failed is not tried again at every sweep, ms of real time. */
const againAfterMs = 60 * 60_000;

/**
 * Posts each ward's audit of the month that is over, from the first shift start of the new one on; called at every sweep. It
 * is written into the ward's log in the change that asks for its messages, so a ward is told once, whoever else does the
 * same, and late rather than never. A month in which no line was in is written down and says nothing.
 */
export function auditMonths(deps: AuditDeps): () => Promise<void> {
  const { record, clock, realNow, audits, pagesOf, watch, messenger } = deps;
  /** Ward time until which nothing can be owed; real time until which a failed count waits. */
  const nothingUntil = new Map<string, number>();
  const waitsUntil = new Map<string, number>();

  const auditWard = async (wardId: string) => {
    const { ward, lines } = await record.readWard(wardId);
    const now = clock.now();
    const period = monthOwed(ward, lines, now);
    if (period === null) {
      nothingUntil.set(wardId, nextAuditAt(ward.policy.shifts, now));
      return;
    }
    const { audit } = await audits.of(wardId, period);
    const isEmpty = audit.lines.all.lines === 0 && audit.tries === 0;
    await recordOnWard(
      deps,
      { wardId, by: 'bot', via: 'bot' },
      { kind: 'audited', body: { from: period.fromMs, to: period.toMs } },
      ({ ward: { policy } }, at) => {
        if (isEmpty) return [];
        const pages = pagesOf(audit, policy);
        return [
          ...wardReportPosts(period, pages.ward, at),
          ...personalReportPosts(audit, policy.lead, pages.lead, at),
        ];
      },
      (latest) => !isAudited(latest, period.toMs),
    );
  };

  return async () => {
    for (const wardId of await record.wardIds()) {
      if (clock.now() < (nothingUntil.get(wardId) ?? 0)) continue;
      if (realNow() < (waitsUntil.get(wardId) ?? 0)) continue;
      try {
        // Owed still when the bot is back in that workspace.
        if ((await messenger.serves?.(wardId)) !== false) await auditWard(wardId);
      } catch (cause) {
        if (cause instanceof AuditFailed) waitsUntil.set(wardId, realNow() + againAfterMs);
        watch.trouble('a month’s audit could not be posted; it is tried again', { wardId }, cause);
      }
    }
  };
}
