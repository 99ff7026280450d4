import { standInFor } from '../domain/ward/cover.ts';
import { onCallFor, type Responsible } from '../domain/ward/on-call.ts';
import type { WardState } from '../domain/ward/ward-state.ts';
import { noticePost } from './notice-post.ts';
import type { Post } from './ports.ts';

/** Somebody was put on call: to the ward, to whoever is called from now on, and to whoever counted on it until now. */
export function onCallPosts(
  after: WardState,
  before: WardState,
  user: string,
  by: string,
  now: number,
): Post[] {
  // Where they are away, whoever stands in is called.
  const called = [...new Set([user, standInFor(after.covers, user, now)])];
  return [
    setPost(user, by, now),
    ...called.map((one) => onCallPost('on call', one, by, now)),
    // Whoever stood in, and whoever was away: both counted on it.
    ...peopleOf(onCallFor(before, now))
      .filter((one) => !called.includes(one))
      .map((one) => onCallPost('off call', one, by, now)),
  ];
}

/** Somebody is on call again by what was set before, since the rota names nobody: to the ward, and to them or whoever stands in. */
export function onCallAgainPosts(
  { covers }: WardState,
  { user, by, at, fromMs }: { user: string; by: string; at: number; fromMs: number },
  now: number,
): Post[] {
  const called = [...new Set([user, standInFor(covers, user, now)])];
  const posts = [setPost(user, by, now), ...called.map((one) => onCallPost('on call', one, by, now))];
  return posts.map((post) => ({
    ...post,
    ...(post.about ? { about: { ...post.about, for: fromMs, from: at } } : {}),
  }));
}

/**
 * That was taken back: to the ward, and to whoever is called again. Whoever was put on call reads it in the message that told
 * them so.
 */
export function onCallBackPosts(after: WardState, before: WardState, by: string, now: number): Post[] {
  const people = peopleOf(onCallFor(before, now));
  const again = peopleOf(onCallFor(after, now)).filter((one) => !people.includes(one));
  const about = { what: 'on call back', user: by, text: before.onCallSet?.user ?? 'bot' };
  return [
    noticePost(`2.oncallback.${now.toString(36)}`, 'ward', now, about),
    ...again.map((one) => onCallPost('on call', one, by, now)),
  ];
}

function peopleOf(who: Responsible | null): string[] {
  return [who?.user, who?.insteadOf].filter((one): one is string => typeof one === 'string');
}

/** To the ward: whoever is on call may decide on dwell, so everybody sees who put them there. */
function setPost(user: string, by: string, now: number): Post {
  const about = { what: 'on call set', user: by, text: user };
  return noticePost(`2.oncallset.${now.toString(36)}`, 'ward', now, about);
}

/** To whoever is put on call, or is relieved of it: both count on it. */
function onCallPost(what: 'on call' | 'off call', user: string, by: string, now: number): Post {
  const key = `2.${what.replace(' ', '')}.${now.toString(36)}.${user}`;
  return noticePost(key, { user }, now, { what, user: by });
}
