import { once } from 'node:events';
import { type AddressInfo, connect, createServer, type Socket } from 'node:net';

/** Tells by what it says first, as latin1, whether the one that connected is among those that are cut off. */
export type CutOff = (said: string) => boolean;

/** The line to a server, which can be cut without either end being told: what is under way is held, as lost packets would be. */
export interface Cable {
  port: number;
  /** `peers`: replicas and sentinels alone; `all`: everybody; or whoever is told by what they say. */
  cut(whom: 'peers' | 'all' | CutOff): void;
  /** What was held arrives. */
  mend(): void;
  stop(): void;
}

/** What only replicas and sentinels say to a master. */
const peersSay = /REPLCONF|PSYNC|sentinel-[0-9a-f]+-(?:cmd|pubsub)/i;

const named: Readonly<Record<'peers' | 'all', CutOff>> = {
  peers: (said) => peersSay.test(said),
  all: () => true,
};
/** As much of what one said is kept to know it by. */
const keptLetters = 4_096;

/** Lays a cable to the server on this port. */
export async function layCable(to: number): Promise<Cable> {
  const sockets = new Set<Socket>();
  const mended = new Set<() => void>();
  let isCutOff: CutOff | null = null;
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
      if (isCutOff === null) other.destroy();
    });
  };
  const server = createServer((near) => {
    const far = connect(to, '127.0.0.1');
    let said = '';
    const isCut = () => isCutOff?.(said) ?? false;
    carry(near, far, (chunk) => {
      if (said.length < keptLetters) said += chunk.toString('latin1');
      return isCut();
    });
    carry(far, near, isCut);
    for (const socket of [near, far]) sockets.add(socket);
  }).listen(0, '127.0.0.1');
  await once(server, 'listening');
  return {
    port: (server.address() as AddressInfo).port,
    cut: (whom) => {
      isCutOff = typeof whom === 'string' ? named[whom] : whom;
    },
    mend() {
      isCutOff = null;
      for (const goOn of mended) goOn();
    },
    stop() {
      server.close();
      for (const socket of sockets) socket.destroy();
    },
  };
}
