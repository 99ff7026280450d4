import { ownLine, rejoined } from '../domain/animal/animal.ts';
import { type ByTag, byTag } from '../domain/by-kind.ts';
import { isClosed } from '../domain/duties/duties-of-line.ts';
import type { Duty } from '../domain/duties/duty.ts';
import { foldNext } from '../domain/fold/fold-line.ts';
import {
  changesCall,
  changesCover,
  changesHands,
  lineWakeAt,
  planWake,
  wardWakeAt,
} from '../domain/ladder/plan-wake.ts';
import type { PlannedPost, WakePlan } from '../domain/ladder/wake-plan.ts';
import type { Entry } from '../domain/record/entry.ts';
import type { LineState } from '../domain/record/line-state.ts';
import { visitsHeldUntil } from '../domain/rounds/visit-gap.ts';
import type { WardEntry } from '../domain/ward/ward-entry.ts';
import { foldWardNext } from '../domain/ward/ward-state.ts';
import type { AppDeps, JobDeps } from './app-deps.ts';
import {
  asking,
  fitsWithButtons,
  type Room,
  roomInWords,
  roomOfRows,
  roomWithButtons,
} from './asking-posts.ts';
import { coverBegunPosts, coverOverPosts } from './cover-posts.ts';
import { handoverPosts } from './handover-posts.ts';
import { orInstead } from './instead-of-channel.ts';
import { noticePost } from './notice-post.ts';
import { tellOnCallAgain } from './on-call-again.ts';
import type { Rank } from './pace.ts';
import type { Change, Post, WardView } from './ports.ts';
import { isServed } from './shut-channel.ts';

const attempts = 6;

/**
 * Looks at a ward and does what is owed at this instant: nudges, escalations, the handover, each written down in the
 * same change that asks for its message. It decides from the record alone; a second look finds nothing left to do.
 */
export async function wakeWard(deps: JobDeps, wardId: string, rank: Rank = 'reminder'): Promise<void> {
  const { record, clock, alarm, watch, pace } = deps;
  // What nobody can be told is not written down as sent: it's made up for once the bot is back there.
  if (!(await isServed(deps, wardId))) return;
  for (let attempt = 1; attempt <= attempts; attempt++) {
    await pace?.turn(rank);
    const view = await record.readWard(wardId);
    await pace?.turn(rank);
    const now = clock.now();
    await tellOnCallAgain(deps, view, now);
    const plan = planWake(view.ward, view.lines, now);
    const { change, next } = changeOf(view, plan, now);
    const committed = await record.commit(wardId, change);
    if (committed.is === 'conflict') {
      watch.conflict();
      continue;
    }
    count(deps, plan, now);
    await Promise.all([
      change.posts.length > 0 ? alarm.postsWaiting(wardId) : undefined,
      next === null ? undefined : alarm.wakeAt(wardId, next),
    ]);
    return;
  }
  watch.trouble('a ward kept changing while it was looked at; the sweep looks again', { wardId });
}

const headAt = (now: number) => ({ at: now, told: now, by: 'bot', via: 'bot' }) as const;

/** The lines with what is recorded of them now, what that is, and the one instant at which it's all said, ms. */
function afterDrafts(lines: readonly LineState[], drafts: WakePlan['drafts'], now: number) {
  const byId = new Map(lines.map((line) => [line.id, line]));
  const added = new Map<string, Entry[]>();
  // A line may have an entry by a clock that is ahead. All that is said now is said at one instant, messages and entries alike:
  // a message whose entry came after it would be taken for one that was said again since, and never be sent.
  const saidAt = Math.max(now, ...drafts.map(({ lineId }) => byId.get(lineId)?.latestAt ?? now));
  for (const { lineId, draft } of drafts) {
    const line = byId.get(lineId);
    if (!line) continue;
    const entry = { ...headAt(now), ...draft, at: saidAt } as Entry;
    // Nothing can have happened after the line's latest entry but before then, so no log is needed.
    byId.set(
      lineId,
      rejoined(
        foldNext(ownLine(line), entry, () => []),
        line,
      ),
    );
    added.set(lineId, [...(added.get(lineId) ?? []), entry]);
  }
  return { byId, added, saidAt };
}

function changeOf(
  { ward, lines }: WardView,
  plan: WakePlan,
  now: number,
): { change: Change; next: number | null } {
  const { byId, added, saidAt } = afterDrafts(lines, plan.drafts, now);
  const head = headAt(now);
  const wardEntries = plan.wardDrafts.map((draft) => ({ ...head, ...draft }) as WardEntry);
  const wardAfter = wardEntries.reduce(foldWardNext, ward);
  const after = [...byId.values()];
  const view = { ward: wardAfter, lines: after };
  const held = visitsHeldUntil(wardAfter, after, now);
  const wakes: Record<string, number | null> = { ward: wardWakeAt(wardAfter, after, now) };
  for (const line of after) wakes[line.id] = lineWakeAt(line, wardAfter, now, held.get(line.id));
  const instants = Object.values(wakes).filter((at) => at !== null);
  return {
    change: {
      // Every line and the ward are named, those that get no entry too: a wake-up derived from what somebody has changed
      // meanwhile must not be set, or the index would forget a reminder until the next deep sweep.
      lines: lines.map((line) => {
        const latest = byId.get(line.id) ?? line;
        return {
          id: line.id,
          expected: line.version,
          entries: added.get(line.id) ?? [],
          after: latest,
          listed: !isClosed(latest, ward.policy, now),
          // A hold runs out, a line is closed and one is another nurse's without anybody recording anything.
          touch: latest.removed !== null || changesHands(latest, now),
        };
      }),
      ward: { expected: ward.version, entries: wardEntries, after: wardAfter },
      touchAll: wardEntries.length > 0 || plan.adds || changesCover(ward, now) || changesCall(ward, now),
      wakes,
      posts: orInstead(
        plan.posts.flatMap((planned) =>
          byTag('what', postsByWhat, planned, { view, now, saidAt, stamp: now.toString(36) }),
        ),
        view,
        now,
      ),
    },
    next: instants.length > 0 ? Math.min(...instants) : null,
  };
}

/** The ward as it will be then, the instant of it, and the one at which all is said (both ms). */
interface Saying {
  view: WardView;
  now: number;
  saidAt: number;
  /** The instant, for keys. */
  stamp: string;
}

/** The posts that each kind of planned post amounts to. */
const postsByWhat: ByTag<'what', PlannedPost, [Saying], Post[]> = {
  nudge({ nurse, duties }, { view, stamp, saidAt }) {
    const whose = nurse === null ? '' : `.${nurse}`;
    // One message a visit, however many lines it is of.
    return asking(duties, roomOfVisit(duties, view), {
      key: `1.nudge.${stamp}${whose}`,
      kind: 'nudge',
      to: 'ward',
      at: saidAt,
      ...(nurse === null ? {} : { about: { what: 'visit', user: nurse } }),
    });
  },
  escalation(planned, { view, stamp, saidAt }) {
    const { user, to, duties } = planned;
    return [
      {
        key: `0.${to}.${stamp}.${user}.${noticeKey(planned, view)}`,
        kind: 'escalation',
        to: { user },
        // What comes to be late later is added to it, so it is brought up to date with any line of the ward.
        lines: view.lines.map(({ id }) => id),
        asked: duties.map(({ lineId, kind, dueAt }) => ({ lineId, kind, dueAt })),
        at: saidAt,
        about: { what: to },
      },
    ];
  },
  questions: ({ user, duties }, { stamp, saidAt }) =>
    asking(duties, roomWithButtons, {
      key: `1.questions.${stamp}.${user}`,
      kind: 'escalation',
      to: { user },
      at: saidAt,
      about: { what: 'questions' },
    }),
  'nobody answered': ({ what, user, duties }, { view, stamp, saidAt }) =>
    criedOut(duties, view, saidAt, `0.unanswered.${stamp}`, { what, user }),
  'nobody on call': (planned, { view, stamp, saidAt }) =>
    criedOut(planned.duties, view, saidAt, `0.nobody.${stamp}.${noticeKey(planned, view)}`, {
      what: planned.what,
    }),
  handover: (planned, { view, now }) => handoverPosts(view, planned.for, now),
  cover: ({ step }, { now }) =>
    step.what === 'begun' ? coverBegunPosts(step.cover, now) : coverOverPosts(step.cover, now),
  'handover not accepted': ({ what, for: shift }, { now }) => [
    noticePost(`2.unaccepted.${shift.toString(36)}`, 'ward', now, { what, for: shift }),
  ],
  'channel shut': ({ user }, { view, now }) => [shutPost(user, view, now)],
};

/**
 * What is late, cried out to the ward in as many parts as it takes. What comes to be late while it stands is added to the first, so
 * that one is brought up to date with any line of the ward.
 */
function criedOut(
  duties: readonly Duty[],
  { lines }: WardView,
  at: number,
  key: string,
  about: NonNullable<Post['about']>,
): Post[] {
  return asking(duties, roomInWords, { key, kind: 'notice', to: 'ward', at, about }).map((post, index) =>
    index === 0
      ? { ...post, lines: lines.map(({ id }) => id) }
      : { ...post, about: { ...about, page: index + 1 } },
  );
}

/** One message, rewritten as things change: it says what the channel would have shown. */
function shutPost(user: string, { ward, lines }: WardView, now: number): Post {
  const from = ward.channelShut?.at ?? now;
  const about = { what: 'channel shut', from };
  const ids = lines.map(({ id }) => id);
  return noticePost(`0.shut.${from.toString(36)}.${user}`, { user }, now, about, ids);
}

function roomOfVisit(duties: readonly Duty[], { lines }: WardView): Room {
  const ids = new Set(duties.map(({ lineId }) => lineId));
  const names = lines.filter(({ id }) => ids.has(id)).map(({ patient }) => patient.name);
  return fitsWithButtons(duties) ? roomWithButtons : roomOfRows(names);
}

/** Tells a message from an earlier one of the same instant: a "cannot" recorded just then is news to the clinician again. */
function noticeKey({ duties: [first] }: { duties: Duty[] }, { lines }: WardView): string {
  const line = lines.find(({ id }) => id === first?.lineId);
  return `${line?.id}.${line?.version}`;
}

function count({ watch }: AppDeps, plan: WakePlan, now: number): void {
  for (const post of plan.posts) {
    if (!('duties' in post)) continue;
    const reader = post.what === 'nobody on call' ? 'nobody' : post.to;
    if (post.what === 'questions' || post.what === 'nobody answered') continue;
    for (const { dueAt } of post.duties) watch.notified(reader, now - dueAt);
  }
}
