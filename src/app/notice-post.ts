import type { Post } from './ports.ts';

/** A notice: something that was done and whom it concerns. It asks for no duty, and names no line unless given some. */
export function noticePost(
  key: string,
  to: Post['to'],
  at: number,
  about: NonNullable<Post['about']>,
  lines: string[] = [],
): Post {
  return { key, kind: 'notice', to, lines, asked: [], at, about };
}
