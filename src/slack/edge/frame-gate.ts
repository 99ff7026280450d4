import type { SocketModeReceiver } from '@slack/bolt';
import { kindOfPayload } from './readable.ts';
import type { Taken } from './taken.ts';

/**
 * Stands before the client's own handling of what comes on the socket: a payload that cannot be read is acknowledged and the
 * operator told, where the client would fail on it and leave it unanswered.
 */
export function frameGate(client: SocketModeReceiver['client'], trouble: Taken['trouble']): void {
  const own = client.listeners('ws_message');
  client.removeAllListeners('ws_message');
  client.on('ws_message', (data: unknown, isBinary: unknown) => {
    const frame = typeof data === 'string' ? parsed(data) : null;
    const kind = typeof frame?.envelope_id === 'string' ? kindOfPayload(frame.payload) : 'readable';
    if (kind === 'readable') {
      for (const listener of own) listener(data, isBinary);
      return;
    }
    trouble(
      kind === 'unreadable'
        ? 'a payload on the socket could not be read'
        : 'the chat platform leaves events out: there were too many',
      { envelope: String(frame?.envelope_id) },
    );
    // Its types keep this to itself; there is no other way to acknowledge what it did not hand out.
    const sender = client as unknown as { send(envelopeId: string): Promise<void> };
    sender.send(String(frame?.envelope_id)).catch(() => undefined);
  });
}

function parsed(text: string): { envelope_id?: unknown; payload?: unknown } | null {
  try {
    const frame: unknown = JSON.parse(text);
    return typeof frame === 'object' ? frame : null;
  } catch {
    return null;
  }
}
