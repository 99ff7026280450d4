import type { Post } from '../../app/ports.ts';
import { tellWard } from '../../app/tell-ward.ts';
import { shiftAt } from '../../domain/shifts/shift-calendar.ts';
import { onCallAt } from '../../domain/ward/on-call.ts';
import type { Bot, Caller } from '../bot.ts';
import { escaped } from '../text.ts';
import { clockText } from '../wording/line-words.ts';

const personTyped = /^<@([UW][A-Z0-9]{2,})(?:\|[^>]*)?>$/;

/** Says who is on call, or puts somebody on call now. */
export async function onCallCommand(bot: Bot, caller: Caller, rest: string): Promise<void> {
  const words = rest.trim();
  if (words === '') return sayOnCall(bot, caller);
  const person = personTyped.exec(words)?.[1];
  if (!person) {
    return caller.say(
      `Not set: “${escaped(words.slice(0, 60))}” is not one person. Type ${bot.command} oncall and then @ with the name, and pick it from the list.`,
    );
  }
  if (person === bot.userId) return caller.say(cannotBeOnCall);
  const said = await putOnCall(bot, caller, person);
  return caller.say(await said());
}

async function sayOnCall(bot: Bot, caller: Caller): Promise<void> {
  const now = bot.deps.clock.now();
  const ward = await bot.deps.record.readWardState(caller.wardId);
  const onCall = onCallAt(ward, now);
  if (onCall === null) {
    return caller.say(
      `Nobody is on call. Set one: ${bot.command} oncall @name, or a rota in ${bot.command} policy.`,
    );
  }
  const byHand =
    ward.onCallSet?.user === onCall
      ? `, set ${clockText(ward.policy, ward.onCallSet.at, now)} by ${await bot.names.of(ward.onCallSet.by)}`
      : ', by the rota';
  return caller.say(`On call now: ${await bot.names.of(onCall)}${byHand}.`);
}

/** Said when the bot itself is chosen. */
export const cannotBeOnCall =
  'Not set: I cannot be on call, I can only tell a person. Choose the clinician who is.';

/** Puts a person on call from now, who is told of it; gives how to say so to whoever did it. */
export async function putOnCall(bot: Bot, caller: Caller, user: string): Promise<() => Promise<string>> {
  const { deps, names } = bot;
  const told = await tellWard(
    deps,
    { wardId: caller.wardId, by: caller.user, via: 'command', once: caller.once },
    { kind: 'onCallSet', body: { user } },
    (_view, now, before) => {
      const relieved = onCallAt(before, now);
      return [
        setPost(user, caller.user, now),
        onCallPost('on call', user, caller.user, now),
        ...(relieved === null || relieved === user
          ? []
          : [onCallPost('off call', relieved, caller.user, now)]),
      ];
    },
  );
  const { ward } = told.view;
  const until = clockText(ward.policy, shiftAt(ward.policy.shifts, deps.clock.now()).endMs, deps.clock.now());
  const rota = Object.keys(ward.policy.rota).length > 0 ? ` until the rota takes over at ${until}` : '';
  return async () =>
    `On call now: ${await names.of(user)}${rota}. Overdue duties go to them by direct message.`;
}

/** To the ward: whoever is on call may decide on dwell, so everybody sees who put them there. */
function setPost(user: string, by: string, now: number): Post {
  return {
    key: `2.oncallset.${now.toString(36)}`,
    kind: 'notice',
    to: 'ward',
    lines: [],
    asked: [],
    at: now,
    about: { what: 'on call set', user: by, text: user },
  };
}

/** To whoever is put on call, or is relieved of it: both count on it. */
function onCallPost(what: 'on call' | 'off call', user: string, by: string, now: number): Post {
  return {
    key: `2.${what.replace(' ', '')}.${now.toString(36)}.${user}`,
    kind: 'notice',
    to: { user },
    lines: [],
    asked: [],
    at: now,
    about: { what, user: by },
  };
}
