import type { Field } from './verb.ts';

/** Whether a line was flushed before it was capped: asked wherever it can be, and never taken for granted. */
export const flushedFirstField: Field = {
  kind: 'choice',
  id: 'flushed',
  label: 'Capped: flushed first',
  options: [
    { value: 'flushed', label: 'Yes, flushed', words: ['flushed first', 'and flushed'] },
    { value: 'not flushed', label: 'No, not flushed yet', words: ['unflushed'] },
  ],
};
