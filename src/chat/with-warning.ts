import { rich } from '../wording/rich-text.ts';
import { type Answer, paragraph } from './parts.ts';

/** How many parts an answer may have. */
const mostParts = 50;

/** What is said, after a warning that concerns everybody; null: there is none. */
export function withWarning(warning: string | null, { text, parts }: Answer): Answer {
  if (warning === null) return { text, ...(parts ? { parts } : {}) };
  return {
    text: `${warning}\n${text}`,
    ...(parts ? { parts: [paragraph(rich`*${warning}*`), ...parts].slice(0, mostParts) } : {}),
  };
}
