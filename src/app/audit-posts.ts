import type { Period } from '../domain/audit/line-course.ts';
import { isWithin } from '../domain/audit/line-course.ts';
import type { WardAudit } from '../domain/audit/ward-audit.ts';
import { hourMs } from '../domain/time.ts';
import type { Post } from './ports.ts';

/** Whether a post is a part of an audit's report. */
export function isAuditPost({ kind, about }: Post): boolean {
  return kind === 'report' && about?.what === 'audit';
}

/** The time an audit's post speaks of; null for any other post. */
export function auditPeriod(post: Post): Period | null {
  const { from, to } = post.about ?? {};
  return isAuditPost(post) && from !== undefined && to !== undefined ? { fromMs: from, toMs: to } : null;
}

/** The ward's part of a report in the ward's channel: no person's figures are in it. */
export function wardReportPosts(period: Period, pages: number, now: number): Post[] {
  return Array.from({ length: pages }, (_, index) => post('ward', period, now, { page: index + 1, pages }));
}

/**
 * The personal part of a month's report, by direct message: to whoever leads the ward now, who is sent everybody's on so many
 * pages, and to each whom the month concerns, who is sent their own.
 */
export function personalReportPosts(
  audit: WardAudit,
  lead: string | null,
  leadPages: number,
  now: number,
): Post[] {
  const { period } = audit.lines;
  const others = concerned(audit).filter((user) => user !== lead);
  return [
    ...(lead === null
      ? []
      : Array.from({ length: leadPages }, (_, index) =>
          post({ user: lead }, period, now, { page: index + 1, pages: leadPages }),
        )),
    ...others.map((user) => post({ user }, period, now, { page: 1, pages: 1 })),
  ];
}

/** Who tried to place a line in the time of an audit, and whose practice lapsed in it. */
function concerned({ practice, lapsedAfterDays, lines: { period } }: WardAudit): string[] {
  return practice
    .filter(
      ({ lastAttemptAt }) =>
        isWithin(lastAttemptAt, period) || isWithin(lastAttemptAt + lapsedAfterDays * 24 * hourMs, period),
    )
    .map(({ by }) => by);
}

function post(
  to: Post['to'],
  { fromMs, toMs }: Period,
  now: number,
  { page, pages }: { page: number; pages: number },
): Post {
  const whose = to === 'ward' ? 'ward' : to.user;
  const stamp = `${fromMs.toString(36)}.${toMs.toString(36)}`;
  return {
    // Behind every reminder and handover that waits.
    key: `8.audit.${stamp}.${whose}.${String(page).padStart(3, '0')}`,
    kind: 'report',
    to,
    lines: [],
    asked: [],
    at: now,
    about: { what: 'audit', from: fromMs, to: toMs, page, pages },
  };
}
