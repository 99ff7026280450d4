/** A failure to be served instead of, or around, the true answer. */
export interface Fault {
  /** A Web API method, `files.download` for the bytes of a file, or `*` for every one. */
  method: string;
  /** How many calls it strikes; 1 unless given. */
  times?: number;
  kind: 'http503' | 'ratelimited' | 'dropAfterStore' | 'late' | 'platformError';
  /** For `late`: how long the answer waits; for `ratelimited`: what Retry-After says, rounded up to seconds. */
  ms?: number;
  /** For `platformError`: the error's name; `internal_error` unless given. */
  error?: string;
}

/** Faults waiting to strike. */
export interface FaultBox {
  add(fault: Fault): void;
  /** The fault for this call, used up by one. */
  take(method: string): Fault | undefined;
  clear(): void;
}

/** An empty box of faults. */
export function faultBox(): FaultBox {
  let waiting: { fault: Fault; left: number }[] = [];
  return {
    add: (fault) => waiting.push({ fault, left: fault.times ?? 1 }),
    take(method) {
      const found = waiting.find(({ fault }) => fault.method === method || fault.method === '*');
      if (!found) return undefined;
      found.left -= 1;
      waiting = waiting.filter(({ left }) => left > 0);
      return found.fault;
    },
    clear: () => {
      waiting = [];
    },
  };
}
