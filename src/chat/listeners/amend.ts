import { movesPutRight } from '../../app/animal-moves.ts';
import { draftsForOthers } from '../../app/cautions-of-animal.ts';
import type { Post } from '../../app/ports.ts';
import type { Outcome } from '../../app/record-on-lines.ts';
import { screeningPosts } from '../../app/screening-posts.ts';
import type { EntryDraft } from '../../domain/record/entry.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { type Bot, type Caller, openView, updateView } from '../bot.ts';
import type { Sent } from '../form.ts';
import { type Form } from '../form.ts';
import { amendedLineId, amendForm, readAmendForm } from '../forms/amend-form.ts';
import { type AmendGiven, amendList, type readAmendList } from '../forms/amend-list.ts';
import { inErrorForm, inErrorLineId, readInErrorForm } from '../forms/in-error-form.ts';
import { staleForm } from '../forms/view-state.ts';
import { notRecorded, type Result } from './form-result.ts';
import { placesNone } from './placing.ts';

/**
 * Opens the form that puts the entry `chosen` right; without one, or where that counts no more, the list of what can be put
 * right. From one of the two to the other it takes its place: the platform stacks three views and no more.
 */
export async function openAmend(bot: Bot, caller: Caller, lineId: string, chosen?: number): Promise<void> {
  const given = await amendGiven(bot, caller, lineId);
  if (!given) return caller.say(noLine);
  const form = chosen === undefined ? null : amendForm({ ...given, number: chosen });
  const view: Form = form ?? amendList({ ...given, user: caller.user });
  const { inView } = caller;
  return inView && ['amend', 'amend:list'].includes(inView.page)
    ? updateView(bot, inView.id, view)
    : openView(bot, caller, view);
}

/** Asks whether a line was registered in error; from a form that puts something right it takes its place. */
export async function openInError(bot: Bot, caller: Caller, lineId: string): Promise<void> {
  const given = await amendGiven(bot, caller, lineId);
  if (!given) return caller.say(noLine);
  const { inView } = caller;
  const view = inErrorForm(given);
  return inView?.page === 'amend' ? updateView(bot, inView.id, view) : openView(bot, caller, view);
}

/** The strike of a placing that a sent form records, or what is wrong with it. */
export async function inErrorSent(
  bot: Bot,
  caller: Caller,
  sent: Sent | null,
): Promise<Result | { lineId: string; draft: EntryDraft }> {
  const lineId = inErrorLineId(sent);
  if (lineId === null) return notRecorded(staleForm);
  const read = readInErrorForm(sent, await bot.deps.record.readLog(caller.wardId, lineId));
  return read.is === 'ok' ? read : notRecorded(read);
}

const noLine = 'This line isn’t on this ward’s record. /artline shows the lines there are.';

async function amendGiven(bot: Bot, { wardId }: Caller, lineId: string): Promise<AmendGiven | null> {
  const { record, clock } = bot.deps;
  const [{ ward, lines }, line, log] = await Promise.all([
    record.readWard(wardId),
    record.readLine(wardId, lineId),
    record.readLog(wardId, lineId),
  ]);
  if (!line) return null;
  const people = [...new Set(log.map(({ by }) => by))];
  const names = new Map(
    await Promise.all(people.map(async (user) => [user, await bot.names.of(user)] as const)),
  );
  return {
    wardId,
    line,
    log,
    now: clock.now(),
    policy: ward.policy,
    nameOf: (user) => names.get(user),
    lines,
  };
}

/** From the list to the form of the entry chosen. */
export async function amendListed(
  bot: Bot,
  caller: Caller,
  read: ReturnType<typeof readAmendList>,
): Promise<Result> {
  if (read.is !== 'chosen') return notRecorded(read);
  const given = await amendGiven(bot, caller, read.lineId);
  if (!given) return notRecorded(staleForm);
  const form = amendForm({ ...given, number: read.number });
  return form
    ? { is: 'next', form, where: 'in its place' }
    : {
        is: 'wrong',
        errors: { entry: 'This entry was struck out while the list was open. Choose another.' },
      };
}

/** The amendment that a sent form records, with whom it is notified besides; or what is wrong with it. */
export async function amendSent(
  bot: Bot,
  caller: Caller,
  sent: Sent | null,
  ward: WardState,
): Promise<
  | Result
  | {
      items: { lineId: string; draft: EntryDraft }[];
      posts: (outcome: Outcome, recordedAtMs: number) => Post[];
    }
> {
  const { record, clock } = bot.deps;
  const lineId = amendedLineId(sent);
  if (lineId === null) return notRecorded(staleForm);
  const [{ lines }, line, log] = await Promise.all([
    record.readWard(caller.wardId),
    record.readLine(caller.wardId, lineId),
    record.readLog(caller.wardId, lineId),
  ]);
  if (!line) return notRecorded(staleForm);
  const read = readAmendForm(sent, { ward, now: clock.now() }, line, log, lines);
  if (read.is === 'ok' && read.draft.body.body?.['operator'] === bot.userId)
    return { is: 'wrong', errors: { operator: placesNone } };
  if (read.is !== 'ok') return notRecorded(read);
  const { target, body } = read.draft.body;
  const others = await Promise.all(
    (line.animal?.others ?? []).map(async ({ id }) => ({
      lineId: id,
      log: await record.readLog(caller.wardId, id),
    })),
  );
  return {
    items: [
      { lineId: read.lineId, draft: read.draft },
      ...(target === 1 && body ? draftsForOthers(line, body, ward.policy) : []),
      ...movesPutRight(read.draft, log, others),
    ],
    posts: ({ ward: after, lines }, recordedAtMs) => {
      const amended = lines.get(line.id);
      return amended ? screeningPosts(after, amended, line.screening, caller.user, recordedAtMs) : [];
    },
  };
}
