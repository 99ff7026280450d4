import type { KnownBlock, ModalView } from '@slack/web-api';
import { type InventedKind, inventedName, practiceWardId } from '../../app/practise/invented-line.ts';
import type { DutyChanges } from '../../domain/duties/duty-changes.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { actionValue } from '../action-value.ts';
import { plain } from '../forms/input-blocks.ts';
import { type PractiseMeta, practiseCallback, practiseMeta } from '../forms/practise-meta.ts';
import { limits } from '../limits.ts';
import { actions, context, section, sections } from '../messages/blocks.ts';
import { dutyName, listed } from '../wording/duty-words.ts';
import { standingCaution } from '../wording/line-words.ts';

/** What every view and answer of a practice says first. */
export const practiceWords = 'Practice: nothing is recorded.';

/** A real view as practice shows it: named so, marked so, and leading nowhere but back to practice. */
export function practiseView(view: ModalView, carried: Omit<PractiseMeta, 'meta'>): ModalView {
  const title = view.title.text.replace(`: ${inventedName}`, '');
  const marked = `Practice: ${title}`;
  return {
    ...view,
    callback_id: practiseCallback(view.callback_id ?? ''),
    title: plain(marked.length <= limits.modalTitle ? marked : 'Practice', limits.modalTitle),
    ...(view.submit ? { submit: plain(submitWords(view.submit.text), limits.modalButton) } : {}),
    close: plain('Back', limits.modalButton),
    private_metadata: practiseMeta({ ...carried, meta: view.private_metadata ?? '' }),
    blocks: [section(`*${practiceWords}* ${title}. ${inventedWords(carried.kind)}`), ...view.blocks],
  };
}

/** A page that only leads on says so, as its own words do; one that would tell something says that it is practice. */
function submitWords(real: string): string {
  return real === 'Next' ? real : 'Send as practice';
}

function inventedWords(kind: InventedKind): string {
  return kind === 'none'
    ? 'Invent any patient you like.'
    : `${inventedName} and everything recorded for ${inventedName} are invented.`;
}

/** What a practice came to: the real answer, and what it would have done to the line's duties. */
export function practisedView(
  said: readonly string[],
  after: { line: LineState; changes: DutyChanges; clock: (atMs: number) => string } | null,
  carried: Omit<PractiseMeta, 'meta'>,
): ModalView {
  const view: ModalView = {
    type: 'modal',
    callback_id: 'practised',
    title: plain('answered', limits.modalTitle),
    blocks: [
      section('*Practice only, nothing was recorded.* For real you would read:'),
      ...sections(
        said.map((text) =>
          text
            .split('\n')
            .map((line) => `> ${line}`)
            .join('\n'),
        ),
      ),
      ...(after ? sections(changeWords(after)) : []),
      actions('practised', [
        {
          action: `open:practise:${carried.verb}`,
          text: 'Practise again',
          value: actionValue({ w: practiceWardId, v: carried.verb }),
        },
      ]),
      context(standingCaution),
    ],
  };
  return {
    ...view,
    callback_id: practiseCallback('practised'),
    title: plain('Practice: answered', limits.modalTitle),
    close: plain('Back', limits.modalButton),
    private_metadata: practiseMeta({ ...carried, told: [], meta: '' }),
  };
}

/** Which duties something told cleared, ended and brought, a sentence each; one that says so when it changed none. */
export function changeWords({
  line,
  changes: { done, gone, brought },
  clock,
}: {
  line: LineState;
  changes: DutyChanges;
  clock: (atMs: number) => string;
}): string[] {
  const lines = [
    ...(done.length > 0
      ? [
          `*Counts as done:* ${listed(done.map(({ kind, nextAt }) => `${dutyName(kind, line)} (next ${clock(nextAt)})`))}.`,
        ]
      : []),
    ...(gone.length > 0 ? [`*Owed no more:* ${listed(gone.map((kind) => dutyName(kind, line)))}.`] : []),
    ...(brought.length > 0
      ? [
          `*Becomes due:* ${listed(brought.map(({ kind, dueAt }) => `${dutyName(kind, line)} ${clock(dueAt)}`))}.`,
        ]
      : []),
  ];
  return lines.length > 0 ? lines : ['It clears no duty and brings none.'];
}

/** Words that a verb without a form would answer with; what could be pressed in them is left out. */
export function practisedAnswer(title: string, blocks: readonly KnownBlock[]): ModalView {
  return {
    type: 'modal',
    callback_id: 'answer',
    title: plain(title, limits.modalTitle),
    blocks: blocks.flatMap((block): KnownBlock[] => {
      if (block.type === 'actions') return [];
      if (block.type !== 'section') return [block];
      const { accessory: _, ...plainBlock } = block;
      return [plainBlock];
    }),
  };
}

/** A practice that came to an end it cannot go on from. */
export function brokenView(words: string): ModalView {
  return {
    type: 'modal',
    callback_id: practiseCallback('broken'),
    title: plain('Practice', limits.modalTitle),
    close: plain('Back', limits.modalButton),
    blocks: [section(`*${practiceWords}* ${words}`)],
  };
}
