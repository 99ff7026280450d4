import { App, HTTPReceiver, LogLevel, SocketModeReceiver, type types } from '@slack/bolt';
import { hurriedClock } from '../../src/app/clock.ts';
import { practicePage } from '../../src/practice/page-routes.ts';
import type { Platform, PlatformOptions } from '../../src/practice/platform/platform.ts';
import { startPlatform } from '../../src/practice/platform/start-platform.ts';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { tinyPicture } from './tiny-picture.ts';

/** A ward evening at which practice tests start: 2026-11-24 19:00 UTC. */
export const eveningMs = Date.UTC(2026, 10, 24, 19, 0);

export const signingSecret = 'practice-signing-secret';

/** The menu the tiny app answers a bare command with. */
export const menuBlocks: types.KnownBlock[] = [
  { type: 'header', text: { type: 'plain_text', text: 'What is there to do?' } },
  {
    type: 'actions',
    block_id: 'menu',
    elements: [
      {
        type: 'button',
        action_id: 'open',
        text: { type: 'plain_text', text: 'Weigh a patient' },
        style: 'primary',
      },
      {
        type: 'button',
        action_id: 'done',
        value: 'all',
        text: { type: 'plain_text', text: 'All done' },
        confirm: {
          title: { type: 'plain_text', text: 'Everything?' },
          text: { type: 'plain_text', text: 'This ticks off the whole ward.' },
          confirm: { type: 'plain_text', text: 'Tick off' },
          deny: { type: 'plain_text', text: 'Not yet' },
        },
      },
    ],
  },
];

/** The tiny app's form: a name, a weight, a species, a time. */
export const weighingForm: types.ModalView = {
  type: 'modal',
  callback_id: 'weighing',
  notify_on_close: true,
  title: { type: 'plain_text', text: 'Weigh a patient' },
  submit: { type: 'plain_text', text: 'Keep weight' },
  close: { type: 'plain_text', text: 'Back' },
  blocks: [
    {
      type: 'input',
      block_id: 'name',
      label: { type: 'plain_text', text: 'Patient' },
      hint: { type: 'plain_text', text: 'As on the cage card' },
      element: { type: 'plain_text_input', action_id: 'name', max_length: 40 },
    },
    {
      type: 'input',
      block_id: 'species',
      label: { type: 'plain_text', text: 'Species' },
      element: {
        type: 'radio_buttons',
        action_id: 'species',
        options: ['dog', 'cat'].map((value) => ({ value, text: { type: 'plain_text', text: value } })),
      },
    },
    {
      type: 'input',
      block_id: 'weight',
      label: { type: 'plain_text', text: 'Weight in kg' },
      element: {
        type: 'number_input',
        action_id: 'weight',
        is_decimal_allowed: true,
        min_value: '0.1',
      },
    },
    {
      type: 'input',
      block_id: 'when',
      optional: true,
      label: { type: 'plain_text', text: 'Weighed at' },
      element: {
        type: 'datetimepicker',
        action_id: 'when',
        initial_date_time: eveningMs / 1000,
      },
    },
  ],
};

/** A running platform with a tiny real Bolt app on it. */
export interface TinyWard {
  platform: Platform;
  app: App;
  /** What the app was told in forms. */
  weighed: { name: string; weightKg: number }[];
  stop(): Promise<void>;
}

const quickClient = { retryConfig: { retries: 0 }, rejectRateLimitedCalls: true };

/** Reads the files of a message as a strip reader would, and answers with a picture under it. */
function readStrips(app: App): void {
  app.shortcut({ callback_id: 'read_strip', type: 'message_action' }, async (given) => {
    const { ack, client, shortcut, context } = given;
    await ack();
    const files = (shortcut.message.files ?? []) as { name: string; url_private_download: string }[];
    const names = files.map(({ name }) => name).join(', ');
    let bytes = 0;
    for (const { url_private_download: url } of files) {
      const headers = { authorization: `Bearer ${context.botToken ?? ''}` };
      bytes += (await (await fetch(url, { headers })).arrayBuffer()).byteLength;
    }
    const picture = tinyPicture();
    const begun = await client.apiCall('files.getUploadURLExternal', {
      filename: 'strip.png',
      length: picture.length,
      alt_txt: `${bytes} bytes read of ${names}`,
    });
    const { upload_url: url, file_id: id } = begun as unknown as { upload_url: string; file_id: string };
    await fetch(url, { method: 'POST', body: new Uint8Array(picture) });
    await client.files.completeUploadExternal({
      files: [{ id, title: 'The strip as it was read' }],
      channel_id: shortcut.channel.id,
      thread_ts: shortcut.message_ts,
      initial_comment: `Read: ${names}`,
    });
  });
}

function listen(app: App, weighed: TinyWard['weighed']): void {
  readStrips(app);
  app.command('/artline', async ({ ack, client, command, respond }) => {
    await ack();
    if (command.text === 'fail') return;
    if (command.text === 'count') {
      for (const text of ['Counting.', 'Counted: 12.'])
        await respond({ text, replace_original: text !== 'Counting.' });
      return;
    }
    if (command.text.startsWith('note ')) {
      await client.chat.postMessage({ channel: command.channel_id, text: command.text.slice(5) });
      return;
    }
    await client.chat.postEphemeral({
      channel: command.channel_id,
      user: command.user_id,
      text: 'What is there to do?',
      blocks: menuBlocks,
    });
  });
  app.action('open', async ({ ack, body, client }) => {
    await ack();
    if (!('trigger_id' in body)) return;
    await client.views.open({ trigger_id: body.trigger_id, view: weighingForm });
  });
  app.action('done', async ({ ack, respond }) => {
    await ack();
    await respond({ replace_original: true, text: 'All done.' });
  });
  app.action('later', async ({ ack, body, client }) => {
    await ack();
    if (body.type !== 'block_actions' || !body.channel || !body.message) return;
    await client.chat.update({
      channel: body.channel.id,
      ts: body.message.ts,
      text: `Put off by ${body.user.username}`,
      blocks: [{ type: 'section', text: { type: 'mrkdwn', text: `Put off by <@${body.user.id}>` } }],
    });
  });
  app.view('weighing', async ({ ack, view, client }) => {
    const name = view.state.values.name?.name?.value ?? '';
    const weightKg = Number(view.state.values.weight?.weight?.value);
    if (weightKg > 120) {
      await ack({
        response_action: 'errors',
        errors: { weight: `${weightKg} kg is above 120 kg. Write the weight in kg.` },
      });
      return;
    }
    await ack();
    weighed.push({ name, weightKg });
    await client.chat.postMessage({
      channel: 'C0WARDEAST',
      text: `${name} weighs ${weightKg} kg`,
      blocks: [
        { type: 'section', text: { type: 'plain_text', text: `${name} weighs ${weightKg} kg` } },
        {
          type: 'actions',
          elements: [{ type: 'button', action_id: 'later', text: { type: 'plain_text', text: 'Later' } }],
        },
      ],
    });
  });
  app.view({ callback_id: 'weighing', type: 'view_closed' }, async ({ ack }) => {
    await ack();
  });
}

/** Starts a platform on a free port and a tiny Bolt app in Socket Mode on it. */
export async function startTinyWard(options: Partial<PlatformOptions> = {}): Promise<TinyWard> {
  const clock = options.clock ?? hurriedClock(eveningMs, 1);
  const platform = await startPlatform({
    port: 0,
    world: practiceWorld(),
    clock,
    rateLimit: null,
    routes: (practice) => practicePage(practice, { clock }),
    deliverTo: 'socket',
    ...options,
  });
  const { botToken, appToken } = platform.world.app;
  const receiver = new SocketModeReceiver({
    appToken,
    logLevel: LogLevel.ERROR,
    clientPingTimeout: 5_000,
    installerOptions: { clientOptions: { slackApiUrl: platform.apiUrl, ...quickClient } },
  });
  const app = new App({
    receiver,
    token: botToken,
    logLevel: LogLevel.ERROR,
    clientOptions: { slackApiUrl: platform.apiUrl, ...quickClient },
  });
  const weighed: TinyWard['weighed'] = [];
  listen(app, weighed);
  await app.start();
  await platform.until('the app to connect', () => platform.connections() > 0);
  return {
    platform,
    app,
    weighed,
    async stop() {
      await receiver.client.disconnect();
      await platform.stop();
    },
  };
}

/** The same over signed HTTP requests. */
export async function startTinyHttpWard(): Promise<TinyWard> {
  const receiver = new HTTPReceiver({ signingSecret, logLevel: LogLevel.ERROR });
  // The app's address must be known to the platform and the platform's to the app: the app listens first.
  const server = await receiver.start({ port: 0, host: '127.0.0.1' });
  const address = server.address();
  const appPort = typeof address === 'object' && address ? address.port : 0;
  const platform = await startPlatform({
    port: 0,
    world: practiceWorld(),
    clock: hurriedClock(eveningMs, 1),
    rateLimit: null,
    deliverTo: { url: `http://127.0.0.1:${appPort}/slack/events`, signingSecret },
  });
  const app = new App({
    receiver,
    token: platform.world.app.botToken,
    logLevel: LogLevel.ERROR,
    clientOptions: { slackApiUrl: platform.apiUrl, ...quickClient },
  });
  const weighed: TinyWard['weighed'] = [];
  listen(app, weighed);
  return {
    platform,
    app,
    weighed,
    async stop() {
      await receiver.stop();
      await platform.stop();
    },
  };
}
