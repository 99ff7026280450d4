import type { KnownBlock, ModalView } from '@slack/web-api';
import type { Species } from '../../domain/patient/species.ts';
import { actionValue } from '../action-value.ts';
import { actions, type ButtonSpec, context, section, sections } from '../messages/blocks.ts';
import { escaped } from '../text.ts';
import { type OwnerWords, ownerLines } from '../wording/owner-words.ts';

/** Said above the page, to whoever asked for it. */
const forOwner = 'To read to the owner before a line is placed. Only you see it.';
const whichAnimal =
  'Half a page to read to the owner: what an arterial line is for and what may happen. For which animal?';

/** The animals to tap; any other species can be typed. */
const labels = { dog: 'Dog', cat: 'Cat', other: 'Other animal' } as const;
const order = ['dog', 'cat', 'other'] as const;

const choices = (wardId: string, shown?: Species): ButtonSpec[] =>
  order
    .filter((species) => species !== shown)
    .map((species) => ({
      action: `open:risks:${species}`,
      text: labels[species],
      value: actionValue({ w: wardId, v: species }),
    }));

/** Which animal it is for, with a button each. */
export function askWhichAnimal(wardId: string): { text: string; blocks: KnownBlock[] } {
  return {
    text: whichAnimal,
    blocks: [section(whichAnimal), actions('risks:animal', choices(wardId))],
  };
}

/** The owner's page as an answer to one person: its words, the page for paper, and the other animals. */
export function ownerAnswer(
  wardId: string,
  species: Species,
  page: OwnerWords,
): { text: string; blocks: KnownBlock[] } {
  const parts = page.sections.map(({ title, text, points = [] }) =>
    [
      `*${title}*`,
      ...points.map(({ what, said }) =>
        what.startsWith('[') ? `${what} ${escaped(said)}` : `• *${escaped(what)}:* ${escaped(said)}`,
      ),
      ...(text ? [escaped(text)] : []),
    ].join('\n'),
  );
  return {
    text: [forOwner, ...ownerLines(page)].join('\n'),
    blocks: [
      context(forOwner),
      section(`*${page.title}*`),
      ...parts.flatMap((part) => sections([part])),
      actions('risks:more', [
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

/** The same on a page of the menu; `callback_id` is `risks`. */
export function risksView(wardId: string, blocks: KnownBlock[]): ModalView {
  return {
    type: 'modal',
    callback_id: 'risks',
    title: { type: 'plain_text', text: 'For the owner' },
    close: { type: 'plain_text', text: 'Back' },
    private_metadata: actionValue({ w: wardId }),
    blocks,
  };
}
