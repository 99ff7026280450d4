import { onCallPosts } from '../../app/on-call-posts.ts';
import { recordOnWard } from '../../app/record-on-ward.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { coverOf, coversFrom, standInFor } from '../../domain/ward/cover.ts';
import { onCallFor, type Responsible } from '../../domain/ward/on-call.ts';
import { isUnreached } from '../../domain/ward/unreached.ts';
import type { WardState } from '../../domain/ward/ward-state.ts';
import { coverTimeWords } from '../../wording/care/cover-time-words.ts';
import { clockText } from '../../wording/care/line-words.ts';
import { whoWords } from '../../wording/care/who-words.ts';
import { sayOfWard } from '../answers/take-back.ts';
import type { Bot, Caller } from '../bot.ts';
import { namedDoubt, namedFault } from '../named-person.ts';
import { personWord } from '../typed/person-word.ts';

/** Says who is on call, or puts somebody on call now. */
export async function onCallCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  const words = rest.trim();
  if (words === '') return sayOnCall(bot, caller);
  const person = personWord(words);
  if (!person) {
    return caller.say(
      `Not set: “${words.slice(0, 60)}” is not one person. Type ${bot.command} oncall and then @ with the name, and pick it from the list.`,
    );
  }
  if (person === bot.userId) return caller.say(cannotBeOnCall);
  const fault = await namedFault(bot, caller.wardId, person);
  if (fault !== null) return caller.say(`Not set: ${fault}`);
  const said = await putOnCall(bot, caller, person);
  return said();
}

async function sayOnCall(bot: Bot, caller: Caller): Promise<void> {
  const now = bot.deps.clock.now();
  const ward = await bot.deps.record.readWardState(caller.wardId);
  const { shifts } = ward.policy;
  const onCall = onCallFor(ward, now);
  const endMs = shiftAt(shifts, now).endMs;
  const next = onCallFor(ward, endMs);
  const coming = `Next shift, ${shiftAt(shifts, endMs).name} from ${clockText(ward.policy, endMs, now)}`;
  const set = `Set one: ${bot.command} oncall @name, or a rota in ${bot.command} policy.`;
  return caller.say(
    [
      onCall === null ? 'Nobody is on call.' : `On call now: ${await onCallWords(bot, ward, onCall, now)}.`,
      ...(onCall !== null && isUnreached(ward, onCall.user, now)
        ? ['No direct message reaches them: call them yourself, or set somebody else.']
        : []),
      ...(onCall === null ? [] : await awayWords(bot, ward, onCall, now, endMs)),
      ...(onCall !== null || next !== null
        ? [`${coming}: ${next === null ? 'nobody' : await onCallWords(bot, ward, next, endMs)}.`]
        : []),
      ...(onCall === null || next === null ? [set] : []),
    ].join(' '),
  );
}

/** When in this shift whoever is on call will be away, and who stands in then. */
async function awayWords(
  { names }: Bot,
  ward: WardState,
  { user, insteadOf }: Responsible,
  now: number,
  endMs: number,
): Promise<string[]> {
  const toCome = coversFrom(ward.covers, now).filter(
    ({ away, from }) => away === (insteadOf ?? user) && from > now && from < endMs,
  );
  return Promise.all(
    toCome.map(
      async (cover) =>
        `Away ${coverTimeWords(ward.policy, cover, now)}: ${await names.of(cover.by)} stands in.`,
    ),
  );
}

/** Who is on call at `at` (ms), for whom, and by what. */
async function onCallWords(bot: Bot, ward: WardState, who: Responsible, at: number): Promise<string> {
  const now = bot.deps.clock.now();
  const { names } = bot;
  const name = await whoWords(who, names);
  const owner = who.insteadOf ?? who.user;
  const shift = shiftAt(ward.policy.shifts, at);
  const set = ward.onCallSet;
  const isRotas = ward.policy.rota[shift.name] === owner && !(set && set.at >= shift.startMs);
  if (isRotas || !set) return `${name}, by the rota`;
  return `${name}, set ${clockText(ward.policy, set.at, now)} by ${await names.of(set.by)}`;
}

/** Said when the bot itself is chosen. */
export const cannotBeOnCall =
  'Not set: I cannot be on call, I can only tell a person. Choose the clinician who is.';

/** Puts a person on call from now, who is told of it; gives how to say so to whoever did it, who may take it back. */
export async function putOnCall(bot: Bot, caller: Caller, user: string): Promise<() => Promise<void>> {
  const { deps, names } = bot;
  const result = await recordOnWard(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'command', once: caller.once },
    { kind: 'onCallSet', body: { user } },
    (view, now, before) => onCallPosts(view.ward, before, user, caller.user, now),
  );
  const { ward } = result.view;
  const until = clockText(ward.policy, shiftAt(ward.policy.shifts, deps.clock.now()).endMs, deps.clock.now());
  const rota = Object.keys(ward.policy.rota).length > 0 ? ` until the rota takes over at ${until}` : '';
  const words = async () => {
    const cover = coverOf(ward.covers, user, deps.clock.now());
    if (!cover)
      return `On call now: ${await names.of(user)}${rota}. Overdue duties go to them by direct message.${await namedDoubt(bot, user)}`;
    return `On call now: ${await names.of(user)}${rota}, who is away until ${clockText(ward.policy, cover.until, deps.clock.now())}: ${await names.of(standInFor(ward.covers, user, deps.clock.now()))} stands in and is told. If that is over: ${bot.command} cover, then “Back now”.`;
  };
  return async () =>
    sayOfWard(caller, await words(), result.is === 'taken' ? result.view.ward : null, 'onCall');
}
