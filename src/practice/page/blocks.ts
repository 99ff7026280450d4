import type { HeldValue } from '../page-messages.ts';
import type { Block } from '../platform/block-limits.ts';
import type { ImageElement, UsableElement } from '../platform/element-limits.ts';
import { fileAddress } from './api.ts';
import { ask } from './ask.ts';
import { busyWith, type Child, freshId, h, isBusy, key } from './dom.ts';
import { type Drawing, type Press, placeOf, type Words } from './drawing.ts';
import { mrkdwn, plain, textNodes } from './markup.ts';
import { groupKinds, type Pickable, picker } from './pickers.ts';
import { markdown, richText } from './rich-text.ts';

type BlockOf<Type extends Block['type']> = Extract<Block, { type: Type }>;
type Button = Extract<UsableElement, { type: 'button' }>;

/** Goes ahead with a press: asks first where the element says so, and shows it is busy until the app answered. */
async function go(drawing: Drawing, node: Element, element: UsableElement, press: Press): Promise<unknown> {
  if (isBusy(node)) return;
  if ('confirm' in element && element.confirm && !(await ask(drawing, element.confirm))) return;
  return busyWith(node, () => drawing.press(press));
}

function button(drawing: Drawing, block: Block, element: Button): Node {
  const place = placeOf(block, element);
  const node = key(
    plain(element.text.text),
    () => {
      if (element.url) window.open(element.url, '_blank', 'noreferrer');
      return go(drawing, node, element, place);
    },
    {
      class: `key${element.style ? ` key-${element.style}` : ''}`,
      'data-key': `${place.blockId}/${place.actionId}/${element.value ?? ''}`,
      'data-action': place.actionId,
      'aria-label': element.accessibility_label,
    },
  );
  return node;
}

/** What an element outside a form holds before anybody has touched it. */
function heldAtFirst(element: Pickable): HeldValue {
  switch (element.type) {
    case 'static_select':
    case 'radio_buttons':
      return { selected_option: element.initial_option };
    case 'multi_static_select':
    case 'checkboxes':
      return { selected_options: element.initial_options };
    case 'users_select':
      return { selected_user: element.initial_user };
    case 'multi_users_select':
      return { selected_users: element.initial_users };
    case 'datepicker':
      return { selected_date: element.initial_date };
    case 'timepicker':
      return { selected_time: element.initial_time };
    case 'datetimepicker':
      return { selected_date_time: element.initial_date_time };
    case 'overflow':
    case 'file_input':
    case 'rich_text_input':
      return {};
    case 'plain_text_input':
    case 'number_input':
    case 'email_text_input':
    case 'url_text_input':
      return { value: element.initial_value };
  }
}

/** A menu or picker with its own key to send the choice: choosing alone must not act, for keyboards' sake. */
function chooser(drawing: Drawing, block: Block, element: Pickable): Node {
  const id = freshId('choice');
  const place = placeOf(block, element);
  const name = `${place.blockId}/${place.actionId}/`;
  const label =
    ('placeholder' in element ? element.placeholder?.text : undefined) ??
    (element.type === 'overflow' ? 'More' : 'Choice');
  const held = drawing.held?.(block, element) ?? heldAtFirst(element);
  const { node, read } = picker(drawing, element, held, {
    id,
    'data-key': name,
    'data-action': place.actionId,
  });
  const send = key(
    'Choose',
    () => {
      const selected = read();
      if (element.type === 'overflow' && selected === null) return node.focus();
      return go(drawing, send, element, { ...place, selected });
    },
    { 'aria-label': `Choose: ${label}`, 'data-key': `${name}/send` },
  );
  return groupKinds.has(element.type)
    ? h('fieldset', { class: 'chooser' }, h('legend', { class: 'unseen' }, label), node, send)
    : h('div', { class: 'chooser' }, h('label', { class: 'unseen', for: id }, label), node, send);
}

/** One element a person can use, outside a form's inputs. */
function usable(drawing: Drawing, block: Block, element: UsableElement): Node {
  return element.type === 'button' ? button(drawing, block, element) : chooser(drawing, block, element);
}

const addressOf = ({ slack_file: file, image_url: url }: Omit<ImageElement, 'type'>): string =>
  file && 'id' in file ? fileAddress(file.id) : (url ?? '');

function picture(image: ImageElement): Node {
  return h('img', { src: addressOf(image), alt: image.alt_text, loading: 'lazy' });
}

/** A picture as wide as its message, with its caption and a way to see it as large as it is. */
export function pictureFigure(src: string, alt: string, caption: Child): Node {
  return h(
    'figure',
    {},
    h('img', { src, alt }),
    h(
      'figcaption',
      {},
      caption,
      h('a', { class: 'key', href: src, target: '_blank', rel: 'noreferrer noopener' }, 'Open larger'),
    ),
  );
}

function table(words: Words, { rows, column_settings: columns }: BlockOf<'table'>): Node {
  const row = (cells: BlockOf<'table'>['rows'][number], tag: 'th' | 'td') =>
    h(
      'tr',
      {},
      cells.map((value, at) => {
        const align = columns?.[at]?.align;
        const props = { class: align ? `align-${align}` : null, scope: tag === 'th' ? 'col' : null };
        return h(tag, props, value.type === 'rich_text' ? richText(words, value) : plain(value.text));
      }),
    );
  const [head = [], ...body] = rows;
  return h(
    'div',
    { class: 'table-frame', tabindex: '0', role: 'group', 'aria-label': 'Table' },
    h(
      'table',
      {},
      h('thead', {}, row(head, 'th')),
      h(
        'tbody',
        {},
        body.map((cells) => row(cells, 'td')),
      ),
    ),
  );
}

function section(drawing: Drawing, block: BlockOf<'section'>): Node {
  const { text, fields, accessory } = block;
  return h(
    'div',
    { class: 'block-section' },
    text && h('div', { class: 'block-text' }, textNodes(drawing, text)),
    fields &&
      h(
        'ul',
        { class: 'block-fields' },
        fields.map((field) => h('li', {}, textNodes(drawing, field))),
      ),
    accessory && (accessory.type === 'image' ? picture(accessory) : usable(drawing, block, accessory)),
  );
}

/** One block as a node; input blocks are drawn by the form that holds them. */
export function blockNode(drawing: Drawing, block: Block, headingTag: 'h3' | 'h4' = 'h4'): Node {
  switch (block.type) {
    case 'header':
      return h(headingTag, { class: 'block-header' }, plain(block.text.text));
    case 'divider':
      return h('hr');
    case 'section':
      return section(drawing, block);
    case 'context':
      return h(
        'p',
        { class: 'block-context' },
        block.elements.map((element) =>
          h('span', {}, element.type === 'image' ? picture(element) : textNodes(drawing, element)),
        ),
      );
    case 'actions':
      return h(
        'div',
        { class: 'block-actions' },
        block.elements.map((element) => usable(drawing, block, element)),
      );
    case 'image':
      return pictureFigure(
        addressOf(block),
        block.alt_text,
        block.title && h('span', {}, plain(block.title.text)),
      );
    case 'rich_text':
      return h('div', { class: 'block-rich' }, richText(drawing, block));
    case 'markdown':
      return h('div', { class: 'block-rich' }, markdown(drawing, block.text));
    case 'table':
      return table(drawing, block);
    case 'input':
      return h('p', { class: 'block-context' }, mrkdwn(drawing, '(input)'));
  }
}
