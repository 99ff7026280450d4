import { createHmac } from 'node:crypto';
import { practiceWorld } from '../../src/practice/practice-world.ts';

const { team, app, users } = practiceWorld();

/** Sends one slash command over HTTP, signed as the platform signs, and resolves when it was acknowledged. */
export async function sendCommand(command: {
  port: number;
  signingSecret: string;
  channel: string;
  text: string;
  /** Another one each time. */
  number: number;
  responseUrl: string;
  /** Hears that the request is about to leave. */
  leaves?: (atMs: number) => void;
}): Promise<{ ackMs: number }> {
  const { port, signingSecret, channel, text, number, responseUrl, leaves } = command;
  const timestamp = String(Math.floor(Date.now() / 1000));
  const body = new URLSearchParams({
    token: 'none',
    team_id: team.id,
    team_domain: team.domain,
    channel_id: channel,
    channel_name: 'ward',
    user_id: users[0]?.id ?? '',
    user_name: 'ina',
    command: '/artline',
    text,
    api_app_id: app.id,
    is_enterprise_install: 'false',
    response_url: responseUrl,
    trigger_id: `${Date.now()}.${number}`,
  }).toString();
  const signature = `v0=${createHmac('sha256', signingSecret).update(`v0:${timestamp}:${body}`).digest('hex')}`;
  const began = performance.now();
  leaves?.(began);
  const acked = await fetch(`http://127.0.0.1:${port}/slack/events`, {
    method: 'POST',
    headers: {
      'content-type': 'application/x-www-form-urlencoded',
      'x-slack-request-timestamp': timestamp,
      'x-slack-signature': signature,
    },
    body,
  });
  if (acked.status !== 200) throw new Error(`a command was answered ${acked.status}`);
  return { ackMs: performance.now() - began };
}
