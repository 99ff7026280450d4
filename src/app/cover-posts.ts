import type { Cover } from '../domain/ward/cover.ts';
import { noticePost } from './notice-post.ts';
import type { Post } from './ports.ts';

type About = Omit<NonNullable<Post['about']>, 'what'> & { user: string; by: string; setBy: string };

function aboutOf({ number, away, by, from, until, setBy, at }: Cover): About {
  // Only what begins later has a beginning to speak of.
  return { cover: number, user: away, by, setBy, to: until, ...(from > at ? { from } : {}) };
}

/** A cover was set: to the ward, to whoever stands in and to whoever is away; not to whoever set it, who is answered. */
export function coverSetPosts(cover: Cover): Post[] {
  const about = aboutOf(cover);
  const { away, by, setBy, at } = cover;
  return [
    noticeOf('cover', 'ward', at, about),
    ...[by, away]
      .filter((user) => user !== setBy)
      .map((user) => noticeOf(user === by ? 'stands in' : 'covered', { user }, at, about)),
  ];
}

/**
 * A cover that was recorded ahead begins: to the ward and to whoever stands in, whoever set it. Whoever is away is left in
 * peace.
 */
export function coverBegunPosts(cover: Cover, now: number): Post[] {
  const { from: _told, ...about } = aboutOf(cover);
  return [noticeOf('cover', 'ward', now, about), noticeOf('stands in', { user: cover.by }, now, about)];
}

/** A cover is over by its own time: to whoever was away, who is reminded again; the others read it where it was recorded. */
export function coverOverPosts(cover: Cover, now: number): Post[] {
  return [noticeOf('cover over', { user: cover.away }, now, aboutOf(cover))];
}

/** Somebody is back before their cover's end: to the ward, to whoever stood in and to whoever was away. */
export function backPosts({ number, away, by }: Cover, setBy: string, at: number): Post[] {
  return toAll('back', { cover: number, user: away, by, setBy }, at);
}

/** A cover was taken back before it began: to the same people. */
export function calledOffPosts(cover: Cover, setBy: string, at: number): Post[] {
  return toAll('called off', { ...aboutOf(cover), setBy }, at);
}

function toAll(what: string, about: About, at: number): Post[] {
  return [
    noticeOf(what, 'ward', at, about),
    ...[about.by, about.user]
      .filter((user) => user !== about.setBy)
      .map((user) => noticeOf(what, { user }, at, about)),
  ];
}

function noticeOf(what: string, to: Post['to'], at: number, about: About): Post {
  const whose = to === 'ward' ? 'ward' : to.user;
  const key = `2.cover.${at.toString(36)}.${what.replaceAll(' ', '')}.${about.cover ?? 0}.${whose}`;
  return noticePost(key, to, at, { what, ...about });
}
