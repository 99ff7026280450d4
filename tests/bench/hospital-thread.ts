// A chat platform that takes everything at once, and the people of one ward who tell something at an even pace: in a thread of
// their own, so that nothing that holds up the bot holds up the clock that it is measured by.
import { createServer, type IncomingMessage } from 'node:http';
import type { AddressInfo } from 'node:net';
import { parentPort } from 'node:worker_threads';
import { practiceWorld } from '../../src/practice/practice-world.ts';
import { sendCommand } from './signed-command.ts';

/** What the thread is told to do. */
export interface TellAtPace {
  port: number;
  signingSecret: string;
  channel: string;
  perSecond: number;
  forMs: number;
}

/** What it noticed: ms from a command to its ack and to its answer, and messages by kind as they came. */
export type Noticed =
  | { what: 'port'; port: number }
  | { what: 'told'; ackMs: number[]; answerMs: number[] }
  | { what: 'posted'; kind: string; ward: string; key: string; atMs: number };

const { team, app, users, wardChannelId } = practiceWorld();
const say = (noticed: Noticed) => parentPort?.postMessage(noticed);
const answered = new Map<string, (atMs: number) => void>();
let count = 0;

const server = createServer((request, response) => {
  void bodyOf(request).then((body) => {
    const path = request.url ?? '';
    if (path.startsWith('/answer/')) answered.get(path.slice('/answer/'.length))?.(performance.now());
    response.setHeader('content-type', 'application/json');
    response.end(JSON.stringify({ ok: true, ...answerTo(path.slice(path.lastIndexOf('/') + 1), body) }));
  });
}).listen(0, '127.0.0.1', () => say({ what: 'port', port: (server.address() as AddressInfo).port }));
server.keepAliveTimeout = 60_000;

function answerTo(method: string, body: string): object {
  switch (method) {
    case 'auth.test':
      return { team_id: team.id, user_id: app.botUserId, bot_id: app.botId };
    case 'conversations.members':
      return { members: [...users.map(({ id }) => id), app.botUserId] };
    case 'users.info':
      return { user: { id: 'U', name: 'ina', real_name: 'Ina', profile: { display_name: 'Ina' } } };
    case 'chat.postMessage': {
      const asked = new URLSearchParams(body);
      const metadata = JSON.parse(asked.get('metadata') ?? '{}') as {
        event_payload?: Record<string, string>;
      };
      const { kind = '', ward = '', key = '' } = metadata.event_payload ?? {};
      say({ what: 'posted', kind, ward, key, atMs: Date.now() });
      return { channel: asked.get('channel'), ts: `1795543200.${String(++count).padStart(6, '0')}` };
    }
    case 'chat.scheduleMessage':
      return { channel: wardChannelId, scheduled_message_id: `Q${++count}` };
    case 'chat.scheduledMessages.list':
      return { scheduled_messages: [] };
    default:
      return {};
  }
}

async function bodyOf(request: IncomingMessage): Promise<string> {
  const parts: Buffer[] = [];
  for await (const part of request) parts.push(part as Buffer);
  return Buffer.concat(parts).toString();
}

parentPort?.on('message', (task: TellAtPace) => void tellAtPace(task));

async function tellAtPace({ port, signingSecret, channel, perSecond, forMs }: TellAtPace): Promise<void> {
  const ackMs: number[] = [];
  const answerMs: number[] = [];
  const running: Promise<void>[] = [];
  const commands = Math.round((perSecond * forMs) / 1000);
  for (let index = 0; index < commands; index++) {
    running.push(tell(port, signingSecret, channel, ackMs, answerMs));
    await new Promise((resolve) => setTimeout(resolve, 1000 / perSecond));
  }
  await Promise.all(running);
  say({ what: 'told', ackMs, answerMs });
}

async function tell(
  port: number,
  signingSecret: string,
  channel: string,
  ackMs: number[],
  answerMs: number[],
): Promise<void> {
  const number = ++count;
  const own = (server.address() as AddressInfo).port;
  const answer = Promise.withResolvers<void>();
  const { ackMs: acked } = await sendCommand({
    port,
    signingSecret,
    channel,
    // Another number each time: the same reading told twice within a minute would not be written.
    text: `reading Dog told ${80 + (number % 400) / 10} mmHg`,
    number,
    responseUrl: `http://127.0.0.1:${own}/answer/${number}`,
    leaves: (began) =>
      answered.set(String(number), (atMs) => {
        answerMs.push(atMs - began);
        answered.delete(String(number));
        answer.resolve();
      }),
  });
  ackMs.push(acked);
  await answer.promise;
}
