import type { types } from '@slack/bolt';
import { WebClient } from '@slack/web-api';
import { eveningMs, type TinyWard } from './tiny-app.ts';

const mrkdwn = (text: string) => ({ type: 'mrkdwn' as const, text });
const plain = (text: string) => ({ type: 'plain_text' as const, text });

const nudge: types.KnownBlock[] = [
  { type: 'header', text: plain('Flush Biscuit now') },
  {
    type: 'section',
    text: mrkdwn(
      `*Biscuit* · left dorsal pedal, 20 G\nManual flush was due at <!date^${eveningMs / 1000}^{time}|19:00 UTC>. With <@U0NURSEINA>.`,
    ),
  },
  {
    type: 'actions',
    block_id: 'nudge',
    elements: [
      { type: 'button', action_id: 'flushed', value: 'b', text: plain('Flushed'), style: 'primary' },
      { type: 'button', action_id: 'earlier', value: 'b', text: plain('Done earlier') },
      { type: 'button', action_id: 'later', value: 'b', text: plain('In 10 min') },
      { type: 'button', action_id: 'cannot', value: 'b', text: plain('Cannot'), style: 'danger' },
    ],
  },
  { type: 'context', elements: [mrkdwn('A reminder, not a monitor: clinician and protocol decide.')] },
];

const card: types.KnownBlock[] = [
  { type: 'header', text: plain('Mochi · cat · 4.2 kg') },
  {
    type: 'section',
    fields: [
      mrkdwn('*Line*\nCoccygeal, 22 G'),
      mrkdwn('*Placed*\n16:10, 2 h 50 min ago'),
      mrkdwn('*Flush*\nPressure bag'),
      mrkdwn('*Last reading*\n118/71 (87) mmHg'),
    ],
  },
  { type: 'divider' },
  {
    type: 'section',
    text: mrkdwn('> Pulse below the site present, foot warm\n~Zero due~ done 18:40 · `ζ 0.42` _adequate_'),
    accessory: {
      type: 'static_select',
      action_id: 'verb',
      placeholder: plain('Tell something about Mochi'),
      options: ['zero', 'level', 'flush'].map((value) => ({ value, text: plain(value) })),
    },
  },
  {
    type: 'actions',
    elements: [
      {
        type: 'radio_buttons',
        action_id: 'limb',
        options: ['Warm', 'Cool'].map((value) => ({ value, text: plain(value) })),
      },
      { type: 'datetimepicker', action_id: 'when', initial_date_time: eveningMs / 1000 },
    ],
  },
];

const rounds = {
  type: 'table' as const,
  rows: [
    ['Round', 'Biscuit', 'Mochi'],
    ['20:00', 'flush', 'site check'],
    ['21:00', 'flush, zero', ''],
  ].map((row) => row.map((text) => ({ type: 'raw_text' as const, text: text || '–' }))),
};

/** The smallest PNG there is: one grey point. */
const point = Buffer.from(
  'iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg==',
  'base64',
);

/** Posts one of everything a bot may post, so that the page has all of it to draw. */
export async function showNight(ward: TinyWard): Promise<void> {
  const { platform } = ward;
  const client = new WebClient(platform.world.app.botToken, { slackApiUrl: platform.apiUrl });
  const channel = platform.world.wardChannelId;
  await client.chat.postMessage({ channel, text: 'Mochi: card', blocks: card });
  await client.chat.postMessage({
    channel,
    text: 'Rounds of the night',
    blocks: [
      { type: 'section', text: mrkdwn('*Rounds of the coming shift*') },
      rounds,
      {
        type: 'rich_text',
        elements: [
          {
            type: 'rich_text_list',
            style: 'bullet',
            elements: [
              {
                type: 'rich_text_section',
                elements: [
                  { type: 'text', text: 'Bag', style: { bold: true } },
                  { type: 'text', text: ' runs out 02:10' },
                ],
              },
            ],
          },
        ],
      },
    ],
  });
  // The library's types do not know alt_txt.
  const begun = await client.apiCall('files.getUploadURLExternal', {
    filename: 'strip.png',
    length: point.length,
    alt_txt: 'A pressure strip with one square wave and two swings after it',
  });
  const { upload_url: url, file_id: id } = begun as unknown as { upload_url: string; file_id: string };
  await fetch(url, { method: 'POST', body: point });
  await client.files.completeUploadExternal({
    files: [{ id, title: 'Biscuit, fast-flush test' }],
    channel_id: channel,
  });
  const posted = await client.chat.postMessage({
    channel,
    text: 'Flush Biscuit now, due 19:00. With Ina.',
    blocks: nudge,
  });
  await client.chat.postMessage({
    channel: 'U0CLINSUVI',
    text: 'Biscuit: manual flush 20 min late (due 19:00). Risk: the line clots. With Ina Brandvold, not answered twice. Left dorsal pedal, cage 4.',
    blocks: [
      {
        type: 'section',
        text: mrkdwn(
          '*Biscuit: manual flush 20 min late* (due 19:00)\nRisk: the line clots. With Ina Brandvold, not answered twice.',
        ),
      },
      {
        type: 'actions',
        elements: [
          { type: 'button', action_id: 'claim', text: plain('I take it'), style: 'primary' },
          { type: 'button', action_id: 'flushed', text: plain('Was done') },
        ],
      },
    ],
  });
  await client.chat.update({
    channel,
    ts: posted.ts ?? '',
    text: 'Flush Biscuit now, due 19:00. With Ina.',
    blocks: nudge,
  });
  await platform.slash({ user: 'ina' });
}
