import { SocketModeReceiver } from '@slack/bolt';
import { describe, expect, it } from 'vitest';
import { frameGate } from '../../../src/slack/edge/frame-gate.ts';

const quiet = {
  debug() {},
  info() {},
  warn() {},
  error() {},
  setLevel() {},
  getLevel: () => 'error' as never,
  setName() {},
};

/** The library's own client, not connected; what it hands out and what is acknowledged is noted. */
function socket() {
  const { client } = new SocketModeReceiver({ appToken: 'xapp-none', logger: quiet });
  const handed: unknown[] = [];
  const acked: string[] = [];
  const troubles: string[] = [];
  client.removeAllListeners('slack_event');
  client.on('slack_event', ({ body }: { body: unknown }) => handed.push(body));
  Object.assign(client, { send: async (envelopeId: string) => void acked.push(envelopeId) });
  frameGate(client, (what) => troubles.push(what));
  const comes = (frame: unknown) =>
    client.emit('ws_message', typeof frame === 'string' ? frame : JSON.stringify(frame), false);
  return { comes, handed, acked, troubles };
}

describe('a frame on the socket', () => {
  it('that can be read is handed on, and not acknowledged before anybody looked at it', () => {
    const { comes, handed, acked, troubles } = socket();
    const payload = { command: '/artline', team_id: 'T1', channel_id: 'C1', user_id: 'U1', trigger_id: '1' };
    comes({ type: 'slash_commands', envelope_id: 'e1', payload });
    expect([handed, acked, troubles]).toEqual([[payload], [], []]);
  });

  it.each([
    ['an event without an event', { type: 'events_api', payload: { type: 'event_callback', team_id: 'T1' } }],
    ['nothing', { type: 'interactive', payload: null }],
    ['an unknown shape', { type: 'interactive', payload: { type: 'block_actions' } }],
  ])('with %s in it is acknowledged, and the operator told', (_what, frame) => {
    const { comes, handed, acked, troubles } = socket();
    comes({ ...frame, envelope_id: 'e2' });
    expect([handed, acked]).toEqual([[], ['e2']]);
    expect(troubles).toEqual(['a payload on the socket could not be read']);
  });

  it('that says events are left out is acknowledged, and the operator told', () => {
    const { comes, acked, troubles } = socket();
    comes({ type: 'events_api', envelope_id: 'e3', payload: { type: 'app_rate_limited', team_id: 'T1' } });
    expect([acked, troubles]).toEqual([['e3'], ['the chat platform leaves events out: there were too many']]);
  });

  it('that is no JSON, or greets, is left to the library', () => {
    const { comes, acked, troubles } = socket();
    comes('{no');
    comes({ type: 'hello' });
    expect([acked, troubles]).toEqual([[], []]);
  });
});
