import { describe, expect, it } from 'vitest';
import { blockProblems, mostBlocks } from '../../src/practice/platform/block-limits.ts';
import type { Json } from '../../src/practice/platform/message.ts';
import { viewRefusal } from '../../src/practice/platform/view-limits.ts';

// Source of every limit: Slack Block Kit reference (docs.slack.dev/reference/block-kit).

const chars = (count: number) => 'x'.repeat(count);
const many = <Item>(count: number, make: (index: number) => Item): Item[] =>
  Array.from({ length: count }, (_, index) => make(index));
const plain = (text: string) => ({ type: 'plain_text', text });
const mrkdwn = (text: string) => ({ type: 'mrkdwn', text });
const option = (text = 'a', value = 'a') => ({ text: plain(text), value });
const options = (count: number) => many(count, (index) => option(`o${index}`, `v${index}`));
const section = (more: Json) => ({ type: 'section', text: mrkdwn('t'), ...more });
const actions = (element: Json) => ({ type: 'actions', elements: [element] });
const button = (more: Json = {}) => ({ type: 'button', text: plain('b'), ...more });
const input = (element: Json, more: Json = {}) => ({ type: 'input', label: plain('l'), element, ...more });
const confirm = (more: Json) => ({
  title: plain('t'),
  text: plain('t'),
  confirm: plain('y'),
  deny: plain('n'),
  ...more,
});

/** What is limited, how much of it is allowed, and a block that has `count` of it. */
const limits: [what: string, most: number, block: (count: number) => Json][] = [
  ['characters of a section', 3000, (n) => section({ text: mrkdwn(chars(n)) })],
  ['fields of a section', 10, (n) => section({ fields: many(n, () => mrkdwn('f')) })],
  ['characters of a section field', 2000, (n) => section({ fields: [plain(chars(n))] })],
  ['characters of a header', 150, (n) => ({ type: 'header', text: plain(chars(n)) })],
  ['characters of a block_id', 255, (n) => section({ block_id: chars(n) })],
  ['characters of an action_id', 255, (n) => actions(button({ action_id: chars(n) }))],
  ['elements of an actions block', 25, (n) => ({ type: 'actions', elements: many(n, () => button()) })],
  ['elements of a context block', 10, (n) => ({ type: 'context', elements: many(n, () => plain('c')) })],
  ['characters of a button', 75, (n) => actions(button({ text: plain(chars(n)) }))],
  ['characters of a button value', 2000, (n) => actions(button({ value: chars(n) }))],
  ['characters of a button label', 75, (n) => actions(button({ accessibility_label: chars(n) }))],
  ['characters of a button url', 3000, (n) => actions(button({ url: `https://${chars(n - 8)}` }))],
  [
    'characters of a confirm title',
    100,
    (n) => actions(button({ confirm: confirm({ title: plain(chars(n)) }) })),
  ],
  [
    'characters of a confirm text',
    300,
    (n) => actions(button({ confirm: confirm({ text: plain(chars(n)) }) })),
  ],
  [
    'characters of a confirm button',
    30,
    (n) => actions(button({ confirm: confirm({ confirm: plain(chars(n)) }) })),
  ],
  ['options of a select', 100, (n) => actions({ type: 'static_select', options: options(n) })],
  [
    'option groups of a select',
    100,
    (n) =>
      actions({
        type: 'static_select',
        option_groups: many(n, () => ({ label: plain('g'), options: options(1) })),
      }),
  ],
  [
    'characters of an option group label',
    75,
    (n) =>
      actions({
        type: 'static_select',
        option_groups: [{ label: plain(chars(n)), options: options(1) }],
      }),
  ],
  ['characters of an option', 75, (n) => actions({ type: 'static_select', options: [option(chars(n))] })],
  [
    'characters of an option value (the smaller of two published numbers)',
    75,
    (n) => actions({ type: 'static_select', options: [option('a', chars(n))] }),
  ],
  [
    'characters of an option description',
    75,
    (n) => actions({ type: 'radio_buttons', options: [{ ...option(), description: plain(chars(n)) }] }),
  ],
  [
    'characters of a placeholder',
    150,
    (n) => actions({ type: 'users_select', placeholder: plain(chars(n)) }),
  ],
  ['options of an overflow menu', 5, (n) => actions({ type: 'overflow', options: options(n) })],
  ['radio buttons', 10, (n) => actions({ type: 'radio_buttons', options: options(n) })],
  ['checkboxes', 10, (n) => actions({ type: 'checkboxes', options: options(n) })],
  ['characters of an input label', 2000, (n) => input({ type: 'datepicker' }, { label: plain(chars(n)) })],
  ['characters of an input hint', 2000, (n) => input({ type: 'datepicker' }, { hint: plain(chars(n)) })],
  ['max_length of a text input', 3000, (n) => input({ type: 'plain_text_input', max_length: n })],
  ['min_length of a text input', 3000, (n) => input({ type: 'plain_text_input', min_length: n })],
  ['max_files of a file input', 10, (n) => input({ type: 'file_input', max_files: n })],
  [
    'characters of an image alt text',
    2000,
    (n) => ({ type: 'image', image_url: 'https://a.example/a.png', alt_text: chars(n) }),
  ],
  [
    'characters of an image title',
    2000,
    (n) => ({ type: 'image', image_url: 'https://a.example/a.png', alt_text: 'a', title: plain(chars(n)) }),
  ],
  [
    'rows of a table',
    100,
    (n) => ({ type: 'table', rows: many(n, () => [{ type: 'raw_text', text: 'c' }]) }),
  ],
  [
    'columns of a table',
    20,
    (n) => ({ type: 'table', rows: [many(n, () => ({ type: 'raw_text', text: 'c' }))] }),
  ],
  ['characters of a markdown block', 12_000, (n) => ({ type: 'markdown', text: chars(n) })],
];

describe('blockProblems', () => {
  it.each(limits)(
    'takes exactly the allowed number of %s (%i) and refuses one more',
    (_what, most, block) => {
      expect(blockProblems('message', [block(most)])).toEqual([]);
      expect(blockProblems('message', [block(most + 1)])).not.toEqual([]);
    },
  );

  it.each(Object.entries(mostBlocks) as ['message' | 'modal' | 'home', number][])(
    'takes %s blocks up to %i and refuses one more',
    (surface, most) => {
      expect(
        blockProblems(
          surface,
          many(most, () => ({ type: 'divider' })),
        ),
      ).toEqual([]);
      expect(
        blockProblems(
          surface,
          many(most + 1, () => ({ type: 'divider' })),
        ),
      ).toEqual([`[ERROR] no more than ${most} items allowed [json-pointer:/blocks]`]);
    },
  );

  it('says where the fault is', () => {
    const blocks = [{ type: 'divider' }, { type: 'header', text: plain(chars(151)) }];
    expect(blockProblems('message', blocks)).toEqual([
      '[ERROR] must be less than 151 characters [json-pointer:/blocks/1/text/text]',
    ]);
  });

  it.each([
    ['an unknown block type', { type: 'carousel_of_dreams' }],
    ['an unknown key', section({ colour: 'red' })],
    ['an unknown element type', actions({ type: 'slider' })],
    ['an empty text', section({ text: mrkdwn('') })],
    ['a section without text or fields', { type: 'section' }],
    ['markup in a header', { type: 'header', text: mrkdwn('*h*') }],
    ['a file input outside an input block', actions({ type: 'file_input' })],
    ['a text input outside an input block', actions({ type: 'plain_text_input' })],
    ['a number input that does not say whether decimals are allowed', input({ type: 'number_input' })],
    [
      'a number for a number input’s minimum',
      input({ type: 'number_input', is_decimal_allowed: true, min_value: 1 }),
    ],
    [
      'a select that starts from an option it does not offer',
      actions({ type: 'static_select', options: options(2), initial_option: option('z', 'z') }),
    ],
    ['a select with neither options nor groups', actions({ type: 'static_select' })],
    ['a date in another form', actions({ type: 'datepicker', initial_date: '24.11.2026' })],
    ['a time in another form', actions({ type: 'timepicker', initial_time: '7pm' })],
    [
      'milliseconds for a date and time',
      actions({ type: 'datetimepicker', initial_date_time: 1_795_546_800_000 }),
    ],
    ['an image without alternative text', { type: 'image', image_url: 'https://a.example/a.png' }],
    ['an image from nowhere', { type: 'image', alt_text: 'a' }],
    ['a button in an unknown style', actions(button({ style: 'warning' }))],
  ])('refuses %s', (_what, block) => {
    expect(blockProblems('message', [block])).not.toEqual([]);
  });

  it('refuses a block_id given twice, an action_id twice in one block, two tables and two first focuses', () => {
    const table = { type: 'table', rows: [[{ type: 'raw_text', text: 'c' }]] };
    const focused = input({ type: 'plain_text_input', focus_on_load: true });
    const twice = { type: 'actions', elements: [button({ action_id: 'a' }), button({ action_id: 'a' })] };
    expect(blockProblems('message', [section({ block_id: 'b' }), section({ block_id: 'b' })])).toHaveLength(
      1,
    );
    expect(blockProblems('message', [twice])).toHaveLength(1);
    expect(blockProblems('message', [table, table])).toHaveLength(1);
    expect(blockProblems('modal', [focused, focused])).toHaveLength(1);
  });

  it('allows the same action_id in different blocks', () => {
    const one = actions(button({ action_id: 'done', value: 'a' }));
    expect(blockProblems('message', [one, one])).toEqual([]);
  });

  it('keeps tables and markdown to messages', () => {
    expect(blockProblems('modal', [{ type: 'markdown', text: 'a' }])).toHaveLength(1);
  });
});

const modal = (more: Json = {}): Json => ({ type: 'modal', title: plain('t'), blocks: [], ...more });

describe('viewRefusal', () => {
  it.each([
    ['characters of the title', 24, (n: number) => modal({ title: plain(chars(n)) })],
    ['characters of the submit button', 24, (n: number) => modal({ submit: plain(chars(n)) })],
    ['characters of the close button', 24, (n: number) => modal({ close: plain(chars(n)) })],
    ['characters of private_metadata', 3000, (n: number) => modal({ private_metadata: chars(n) })],
    ['characters of callback_id', 255, (n: number) => modal({ callback_id: chars(n) })],
    ['characters of external_id', 255, (n: number) => modal({ external_id: chars(n) })],
  ])('takes exactly the allowed number of %s (%i) and refuses one more', (_what, most, view) => {
    expect(viewRefusal(view(most))).toBeNull();
    expect(viewRefusal(view(most + 1))).toMatchObject({ error: 'invalid_arguments' });
  });

  it('refuses a form with inputs and nothing to send it with', () => {
    const blocks = [input({ type: 'plain_text_input' })];
    expect(viewRefusal(modal({ blocks }))).toMatchObject({
      messages: ['[ERROR] missing required field: submit [json-pointer:/view]'],
    });
    expect(viewRefusal(modal({ blocks, submit: plain('s') }))).toBeNull();
  });

  it('refuses more than 250 kB', () => {
    const blocks = many(90, () => section({ text: mrkdwn(chars(2900)) }));
    expect(viewRefusal(modal({ blocks }))).toMatchObject({ error: 'view_too_large' });
    expect(viewRefusal(modal({ blocks: blocks.slice(0, 80) }))).toBeNull();
  });
});
