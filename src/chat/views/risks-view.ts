import type { Species } from '../../domain/patient/species.ts';
import { type OwnerWords, ownerLines } from '../../wording/owner/owner-words.ts';
import { rich } from '../../wording/rich-text.ts';
import { actionValue } from '../action-value.ts';
import { type Form } from '../form.ts';
import { type ButtonOf, buttonRow, type Part, paragraph, paragraphs, smallPrint } from '../parts.ts';

/** Said above the page, to whoever asked for it. */
const forOwner = 'To read to the owner before a line is placed. Only you see it.';
const whichAnimal =
  'Half a page to read to the owner: what an arterial line is for and what may happen. For which animal?';

/** The animals to tap; any other species can be typed. */
const labels = { dog: 'Dog', cat: 'Cat', other: 'Other animal' } as const;
const order = ['dog', 'cat', 'other'] as const;

const choices = (wardId: string, shown?: Species): ButtonOf[] =>
  order
    .filter((species) => species !== shown)
    .map((species) => ({
      action: `open:risks:${species}`,
      text: labels[species],
      value: actionValue({ w: wardId, v: species }),
    }));

/** Which animal it is for, with a button each. */
export function askWhichAnimal(wardId: string): { text: string; parts: Part[] } {
  return {
    text: whichAnimal,
    parts: [paragraph(whichAnimal), buttonRow('risks:animal', choices(wardId))],
  };
}

/** The owner's page as an answer to one person: its words, the page for paper, and the other animals. */
export function ownerAnswer(
  wardId: string,
  species: Species,
  page: OwnerWords,
): { text: string; parts: Part[] } {
  const parts = page.sections.map(({ title, text, points = [] }) =>
    [
      rich`*${title}*`,
      ...points.map(({ what, said }) =>
        what.startsWith('[') ? `${what} ${said}` : rich`• *${what}:* ${said}`,
      ),
      ...(text ? [text] : []),
    ].join('\n'),
  );
  return {
    text: [forOwner, ...ownerLines(page)].join('\n'),
    parts: [
      smallPrint(forOwner),
      paragraph(rich`*${page.title}*`),
      ...parts.flatMap((part) => paragraphs([part])),
      buttonRow('risks:more', [
        {
          action: `open:risks:${species}:paper`,
          text: 'Send me the page to print',
          value: actionValue({ w: wardId, v: species }),
        },
        ...choices(wardId, species),
      ]),
    ],
  };
}

/** The same on a page of the menu; its id is `risks`. */
export function risksView(wardId: string, parts: readonly Part[]): Form {
  return {
    id: 'risks',
    title: 'For the owner',
    close: 'Back',
    meta: actionValue({ w: wardId }),
    parts,
  };
}
