import { randomUUID } from 'node:crypto';
import { wardReportPosts } from '../../app/audit-posts.ts';
import { type Audited, AuditFailed, type AuditPicture, type AuditProgress } from '../../app/audits.ts';
import type { Period } from '../../domain/audit/line-course.ts';
import { periodText } from '../../wording/audit/audit-text.ts';
import { whole } from '../../wording/audit/figure-text.ts';
import type { ActionValue } from '../action-value.ts';
import type { Bot, Caller } from '../bot.ts';
import { personalReports, wardReport, wardReportPages } from '../messages/audit-report.ts';
import { type Message } from '../parts.ts';
import { periodFromWords } from '../typed/period-words.ts';

/** When a count that takes long says how far it is, ms from its begin: an answer can be replaced few times. */
const saidAtMs = [2_000, 6_000, 15_000] as const;

/** `/artline audit`, with a time or without one. */
export async function auditCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  const { policy } = await bot.deps.record.readWardState(caller.wardId);
  const read = periodFromWords(rest, { now: bot.deps.clock.now(), zone: policy.shifts.zone });
  if ('problem' in read) return caller.say(`Not counted. ${read.problem}`);
  return sendAudit(bot, caller, read.period);
}

/**
 * Counts and sends the report to whoever asked, by direct message: the ward's part, which they may post in the ward, then
 * their own learning curve; to the ward lead everybody's.
 */
export async function sendAudit(bot: Bot, caller: Caller, period: Period): Promise<void> {
  const { policy } = await bot.deps.record.readWardState(caller.wardId);
  const { zone } = policy.shifts;
  const time = periodText(period, zone);
  await caller.say(`Counting the lines of ${time}. The report comes to you by direct message.`);
  let audited: Audited;
  let saidSince = false;
  const sayNow = (text: string) => (caller.sayInstead ? caller.sayInstead(text) : caller.say(text));
  try {
    audited = await withProgress(
      (progress) => bot.audits.of(caller.wardId, period, { progress }),
      async (text) => {
        saidSince = true;
        await sayNow(text);
      },
    );
  } catch (error) {
    if (!(error instanceof AuditFailed)) throw error;
    return sayNow(error.message);
  }
  const reader = { user: caller.user, lead: policy.lead };
  try {
    await sendReport(bot, caller, audited, reader, zone);
  } catch (cause) {
    bot.deps.watch.trouble('an audit couldn’t be sent', { user: caller.user }, cause);
    return sayNow(
      'The lines are counted, but the report couldn’t be sent to you by direct message. Allow messages from this app, then ask again.',
    );
  }
  // Where nothing can be replaced, the message itself is answer enough.
  if (saidSince || caller.sayInstead) await sayNow(`The audit of ${time} is in your direct messages.`);
}

/** Does the work; says how far it is when it takes longer than a glance. */
async function withProgress(
  work: (progress: (progress: AuditProgress) => void) => Promise<Audited>,
  say: (text: string) => Promise<void>,
): Promise<Audited> {
  let latest: AuditProgress | null = null;
  let said = '';
  let saying: Promise<void> = Promise.resolve();
  const timers = saidAtMs.map((afterMs) =>
    setTimeout(() => {
      const text = progressWords(latest);
      if (text === said) return;
      said = text;
      saying = saying.then(() => say(text)).catch(() => undefined);
    }, afterMs),
  );
  try {
    return await work((progress) => {
      latest = progress;
    });
  } finally {
    for (const timer of timers) clearTimeout(timer);
    // What was said late must not stand in place of what is said at the end.
    await saying;
  }
}

function progressWords(progress: AuditProgress | null): string {
  if (!progress) return 'Reading the ward’s whole record; the lines are counted next.';
  const { linesDone, lines } = progress;
  return `Counting: ${whole(linesDone)} of ${whole(lines)} lines.`;
}

async function sendReport(
  bot: Bot,
  caller: Caller,
  { audit, pictures, curvePictures }: Audited,
  reader: { user: string; lead: string | null },
  zone: string,
): Promise<void> {
  const { wardId } = caller;
  const report = { wardId, audit, zone };
  const pages = wardReportPages(audit);
  const ward = Array.from({ length: pages }, (_, index) =>
    wardReport(report, { page: index + 1, pages, offered: true }),
  );
  const first = await sendAll(bot, caller, ward);
  const own = await sendAll(
    bot,
    caller,
    await personalReports(report, reader, bot.names, {
      wanted: 'everybody’s',
      drawn: Object.keys(curvePictures),
    }),
  );
  const curves = await Promise.all(
    Object.entries(curvePictures)
      .filter(([user]) => reader.user === reader.lead || user === reader.user)
      .map(async ([user, picture]) => ({
        ...picture,
        title: `${picture.title}: ${user === reader.user ? 'you' : await bot.names.of(user)}`,
      })),
  );
  await addPictures(bot, caller, [
    { below: first, pictures },
    { below: own, pictures: curves },
  ]);
}

/** Sends messages one after the other; gives where the first one stands. */
async function sendAll(
  bot: Bot,
  { user, wardId }: Caller,
  messages: readonly Message[],
): Promise<{ channel: string; threadId: string } | null> {
  let first: { channel: string; threadId: string } | null = null;
  for (const message of messages) {
    const at = await bot.posts.send({ user }, message, { wardId, key: `audit.${randomUUID()}`, lines: [] });
    if (at) first ??= { channel: at.channel, threadId: at.id };
  }
  return first;
}

/** Pictures below a message that says all in words: without them only the operator hears of it, and the reader once. */
async function addPictures(
  bot: Bot,
  caller: Caller,
  all: readonly {
    below: { channel: string; threadId: string } | null;
    pictures: readonly AuditPicture[];
  }[],
): Promise<void> {
  try {
    for (const { below, pictures } of all) {
      if (!below) continue;
      for (const picture of pictures) {
        const { title, fileName } = picture;
        await bot.sharePicture(picture, { ...below, title, fileName });
      }
    }
  } catch (cause) {
    bot.deps.watch.trouble('a picture of an audit could not be posted', { user: caller.user }, cause);
    await caller.say('Not all pictures could be posted; the report says it all in words.');
  }
}

/** "Post in the ward": the ward's part, which names nobody, in the ward's channel. */
export async function postAudit(bot: Bot, caller: Caller, { s: time }: ActionValue): Promise<void> {
  if (!time) return;
  const { deps } = bot;
  const period: Period = { fromMs: time[0], toMs: time[1] };
  let audited: Audited;
  try {
    audited = await bot.audits.of(caller.wardId, period, { keptWillDo: true });
  } catch (error) {
    if (!(error instanceof AuditFailed)) throw error;
    return caller.say(error.message);
  }
  const posts = wardReportPosts(period, wardReportPages(audited.audit), deps.clock.now());
  const committed = await deps.record.commit(caller.wardId, {
    once: `audit|${time.join('|')}`,
    lines: [],
    wakes: {},
    posts,
  });
  await deps.alarm.postsWaiting(caller.wardId);
  return caller.say(
    committed.is === 'already'
      ? 'This report is already in the ward’s channel.'
      : 'The ward’s part is being posted in the ward’s channel. It names nobody and holds no learning curve.',
  );
}
