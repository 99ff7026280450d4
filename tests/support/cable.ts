import { once } from 'node:events';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** The line to a server, which can be cut without either end being told: what is under way is held, as lost packets would be. */
export interface Cable {
  port: number;
  /** `peers`: replicas and sentinels alone; `all`: everybody. */
  cut(whom: 'peers' | 'all'): void;
  /** What was held arrives. */
  mend(): void;
  stop(): void;
}

/** What only replicas and sentinels say to a master. */
const peersSay = /REPLCONF|PSYNC|sentinel-[0-9a-f]+-(?:cmd|pubsub)/i;

/** Lays a cable to the server on this port. */
export async function layCable(to: number): Promise<Cable> {
  const sockets = new Set<Socket>();
  const mended = new Set<() => void>();
  let gone: 'none' | 'peers' | 'all' = 'none';
  /** Carries what one end says to the other, once the cable is whole for them. */
  const carry = (from: Socket, other: Socket, isCut: (chunk: Buffer) => boolean) => {
    from.on('data', (chunk) => {
      if (!isCut(chunk)) return void other.write(chunk);
      from.pause();
      const goOn = () => {
        mended.delete(goOn);
        other.write(chunk);
        from.resume();
      };
      mended.add(goOn);
    });
    from.on('error', () => undefined);
    from.on('close', () => {
      sockets.delete(from);
      if (gone === 'none') other.destroy();
    });
  };
  const server = createServer((near) => {
    const far = connect(to, '127.0.0.1');
    let isPeer = false;
    const isCut = () => gone === 'all' || (gone === 'peers' && isPeer);
    carry(near, far, (chunk) => {
      isPeer ||= peersSay.test(chunk.toString('latin1'));
      return isCut();
    });
    carry(far, near, isCut);
    for (const socket of [near, far]) sockets.add(socket);
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    port: (server.address() as AddressInfo).port,
    cut: (whom) => {
      gone = whom;
    },
    mend() {
      gone = 'none';
      for (const goOn of mended) goOn();
    },
    stop() {
      server.close();
      for (const socket of sockets) socket.destroy();
    },
  };
}
