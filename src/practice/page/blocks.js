import { ask } from './ask.js';
import { freshId, h } from './dom.js';
import { mrkdwn, plain, textNodes } from './markup.js';
import { groupKinds, picker } from './pickers.js';
import { markdown, richText } from './rich-text.js';

const keyOf = (block, element) => `${block.block_id}/${element.action_id}/${element.value ?? ''}`;

/** Goes ahead with a press: asks first where the element says so, and shows it is busy until the app answered. */
async function go(ctx, node, element, press) {
  if (node.getAttribute('aria-disabled') === 'true') return;
  if (element.confirm && !(await ask(ctx, element.confirm))) return;
  node.setAttribute('aria-disabled', 'true');
  try {
    await ctx.press(press);
  } finally {
    node.removeAttribute('aria-disabled');
  }
}

function button(ctx, block, element) {
  const node = h(
    'button',
    {
      type: 'button',
      class: `key${element.style ? ` key-${element.style}` : ''}`,
      'data-key': keyOf(block, element),
      'data-action': element.action_id,
      'aria-label': element.accessibility_label,
      onclick: () => {
        if (element.url) window.open(element.url, '_blank', 'noreferrer');
        return go(ctx, node, element, { actionId: element.action_id, blockId: block.block_id });
      },
    },
    plain(element.text.text),
  );
  // Two buttons may share block and action only in different blocks, so these two name it.
  return node;
}

function heldBy(element) {
  return {
    selected_option: element.initial_option,
    selected_options: element.initial_options,
    selected_user: element.initial_user,
    selected_users: element.initial_users,
    selected_date: element.initial_date,
    selected_time: element.initial_time,
    selected_date_time: element.initial_date_time,
    value: element.initial_value,
  };
}

/** A menu or picker with its own key to send the choice: choosing alone must not act, for keyboards' sake. */
function chooser(ctx, block, element) {
  const id = freshId('choice');
  const label = element.placeholder?.text ?? (element.type === 'overflow' ? 'More' : 'Choice');
  const isGroup = groupKinds.has(element.type);
  const { node, read } = picker(ctx, element, ctx.heldIn?.(block, element) ?? heldBy(element), {
    id,
    'data-key': keyOf(block, element),
    'data-action': element.action_id,
  });
  const send = h(
    'button',
    {
      type: 'button',
      class: 'key',
      'aria-label': `Choose: ${label}`,
      'data-key': `${keyOf(block, element)}/send`,
      onclick: () => {
        const selected = read();
        if (element.type === 'overflow' && selected === null) return node.focus();
        return go(ctx, send, element, { actionId: element.action_id, blockId: block.block_id, selected });
      },
    },
    'Choose',
  );
  return isGroup
    ? h('fieldset', { class: 'chooser' }, h('legend', { class: 'unseen' }, label), node, send)
    : h('div', { class: 'chooser' }, h('label', { class: 'unseen', for: id }, label), node, send);
}

/** One element a person can use, outside a form's inputs. */
function usable(ctx, block, element) {
  return element.type === 'button' ? button(ctx, block, element) : chooser(ctx, block, element);
}

const addressOf = (ctx, image) =>
  image.slack_file?.id ? ctx.fileAddress(image.slack_file.id) : (image.image_url ?? '');

function picture(ctx, image) {
  return h('img', { src: addressOf(ctx, image), alt: image.alt_text, loading: 'lazy' });
}

/** A picture as wide as its message, with its caption and a way to see it as large as it is. */
export function pictureFigure(src, alt, caption) {
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

function cell(ctx, value, tag, align) {
  const content = value.type === 'rich_text' ? richText(ctx, value) : [plain(value.text)];
  return h(tag, { class: align ? `align-${align}` : null, scope: tag === 'th' ? 'col' : null }, content);
}

function table(ctx, block) {
  const [head, ...body] = block.rows;
  const align = (at) => block.column_settings?.[at]?.align;
  return h(
    'div',
    { class: 'table-frame', tabindex: '0', role: 'group', 'aria-label': 'Table' },
    h(
      'table',
      {},
      h(
        'thead',
        {},
        h(
          'tr',
          {},
          head.map((value, at) => cell(ctx, value, 'th', align(at))),
        ),
      ),
      h(
        'tbody',
        {},
        body.map((row) =>
          h(
            'tr',
            {},
            row.map((value, at) => cell(ctx, value, 'td', align(at))),
          ),
        ),
      ),
    ),
  );
}

/** One block as a node; input blocks are drawn by the form that holds them. */
export function blockNode(ctx, block, headingTag = 'h4') {
  switch (block.type) {
    case 'header':
      return h(headingTag, { class: 'block-header' }, plain(block.text.text));
    case 'divider':
      return h('hr');
    case 'section':
      return h(
        'div',
        { class: 'block-section' },
        block.text ? h('div', { class: 'block-text' }, textNodes(ctx, block.text)) : null,
        block.fields
          ? h(
              'ul',
              { class: 'block-fields' },
              block.fields.map((field) => h('li', {}, textNodes(ctx, field))),
            )
          : null,
        block.accessory
          ? block.accessory.type === 'image'
            ? picture(ctx, block.accessory)
            : usable(ctx, block, block.accessory)
          : null,
      );
    case 'context':
      return h(
        'p',
        { class: 'block-context' },
        block.elements.map((element) =>
          h('span', {}, element.type === 'image' ? picture(ctx, element) : textNodes(ctx, element)),
        ),
      );
    case 'actions':
      return h(
        'div',
        { class: 'block-actions' },
        block.elements.map((element) => usable(ctx, block, element)),
      );
    case 'image':
      return pictureFigure(
        addressOf(ctx, block),
        block.alt_text,
        block.title ? h('span', {}, plain(block.title.text)) : null,
      );
    case 'rich_text':
      return h('div', { class: 'block-rich' }, richText(ctx, block));
    case 'markdown':
      return h('div', { class: 'block-rich' }, markdown(ctx, block.text));
    case 'table':
      return table(ctx, block);
    default:
      return h('p', { class: 'block-context' }, mrkdwn(ctx, `(${block.type})`));
  }
}
