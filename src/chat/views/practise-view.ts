import { type InventedKind, inventedName, practiceWardId } from '../../app/rehearsal/invented-line.ts';
import type { DutyChanges } from '../../domain/duties/duty-changes.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { changeWords } from '../../wording/care/change-words.ts';
import { standingCaution } from '../../wording/care/line-words.ts';
import { quotedLine, rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type Form } from '../form.ts';
import { type PractiseMeta, practiseCallback, practiseMeta } from '../forms/practise-meta.ts';
import { buttonRow, type Part, paragraph, paragraphs, smallPrint } from '../parts.ts';
import { room } from '../room.ts';

/** What every view and answer of a practice says first. */
export const practiceWords = 'Practice: nothing is recorded.';

/** A real view as practice shows it: named so, marked so, and leading nowhere but back to practice. */
export function practiseView(view: Form, carried: Omit<PractiseMeta, 'meta'>): Form {
  const title = view.title.replace(`: ${inventedName}`, '');
  const marked = `Practice: ${title}`;
  return {
    ...view,
    id: practiseCallback(view.id),
    title: marked.length <= room.formTitle ? marked : 'Practice',
    ...(view.submit ? { submit: submitWords(view.submit) } : {}),
    close: 'Back',
    meta: practiseMeta({ ...carried, meta: view.meta }),
    parts: [paragraph(rich`*${practiceWords}* ${title}. ${inventedWords(carried.kind)}`), ...view.parts],
  };
}

/** A page that only leads on says so, as its own words do; one that would record something says that it is practice. */
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
): Form {
  return {
    id: practiseCallback('practised'),
    title: 'Practice: answered',
    close: 'Back',
    meta: practiseMeta({ ...carried, entries: [], meta: '' }),
    parts: [
      paragraph(rich`*Practice only, nothing was recorded.* For real you would read:`),
      ...paragraphs(said.map((text) => text.split('\n').map(quotedLine).join('\n'))),
      ...(after ? paragraphs(changeWords(after)) : []),
      buttonRow('practised', [
        {
          action: `open:practise:${carried.verb}`,
          text: 'Practise again',
          value: actionValue({ w: practiceWardId, v: carried.verb }),
        },
      ]),
      smallPrint(standingCaution),
    ],
  };
}

/** Words that a verb without a form would answer with; what could be pressed in them is left out. */
export function practisedAnswer(title: string, parts: readonly Part[]): Form {
  return {
    id: 'answer',
    title,
    close: 'Back',
    meta: '',
    parts: parts.flatMap((part): Part[] => {
      if (part.kind === 'buttons') return [];
      return [part.kind === 'paragraph' ? paragraph(part.text) : part];
    }),
  };
}

/** A practice that came to an end it cannot go on from. */
export function brokenView(words: string): Form {
  return {
    id: practiseCallback('broken'),
    title: 'Practice',
    close: 'Back',
    meta: '',
    parts: [paragraph(rich`*${practiceWords}* ${words}`)],
  };
}
