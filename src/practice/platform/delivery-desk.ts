import type { PlatformCore } from './core.ts';
import type { Carrier, Delivery, DeliveryKind, DeliveryRecord, Retry } from './delivery.ts';
import type { Json } from './message.ts';
import { actionTs, eventPayload } from './payloads.ts';
import { showPrivately } from './posting.ts';

/** What a reader is told when an app does not acknowledge a payload. */
export const unansweredLine = 'The bot did not answer in time. Nothing was done; try again.';

const mostDeliveriesKept = 2_000;

/** Sends payloads, keeps what became of them, and tells the person when nothing came back. */
export interface DeliveryDesk {
  readonly deliveries: readonly DeliveryRecord[];
  send(kind: DeliveryKind, payload: Json, retry?: Retry): Promise<Delivery>;
  /** Sends, and shows the reader a private line in `channel` when it was not acknowledged. */
  sendFor(kind: DeliveryKind, payload: Json, channel: string, reader: string): Promise<Delivery>;
  /** Sends an event, stamped with the moment. */
  event(inner: Json): Promise<Delivery>;
  /** Sends the newest payload (of that kind) once more, unchanged. */
  redeliver(kind?: DeliveryKind, reason?: string): Promise<Delivery>;
}

/** A desk over a carrier; while `isDown` nothing is carried. */
export function deliveryDesk(core: PlatformCore, carrier: Carrier, isDown: () => boolean): DeliveryDesk {
  const deliveries: DeliveryRecord[] = [];
  const send: DeliveryDesk['send'] = async (kind, payload, retry) => {
    const delivery: Delivery = isDown()
      ? { acked: false, ackMs: 0, body: {}, error: 'no_connection' }
      : await carrier.deliver(kind, payload, retry);
    deliveries.push({ kind, payload, ...delivery });
    if (deliveries.length > mostDeliveriesKept) deliveries.shift();
    return delivery;
  };
  return {
    deliveries,
    send,
    async sendFor(kind, payload, channel, reader) {
      const delivery = await send(kind, payload);
      if (!delivery.acked)
        showPrivately(core, channel, reader, { text: unansweredLine }, { fromPlatform: true });
      return delivery;
    },
    event: (inner) => send('events_api', eventPayload(core, { ...inner, event_ts: actionTs(core) })),
    redeliver(kind, reason = 'http_timeout') {
      const last = deliveries.findLast((record) => kind === undefined || record.kind === kind);
      if (!last) throw new Error(`No ${kind ?? 'payload'} was delivered yet; nothing to deliver again.`);
      return send(last.kind, last.payload, { attempt: 1, reason });
    },
  };
}
