import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import type { Cover } from '../../domain/ward/cover.ts';
import { clockText } from './line-words.ts';

/** `until 07:00`, or `from 02:00 until 06:00` for what begins later than `at` (ms). */
export function coverTimeWords(
  policy: WardPolicy,
  { from, until }: Pick<Cover, 'from' | 'until'>,
  at: number,
): string {
  if (from <= at) return `until ${clockText(policy, until, at)}`;
  return `from ${clockText(policy, from, at)} until ${clockText(policy, until, from)}`;
}
