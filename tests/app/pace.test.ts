import { describe, expect, it } from 'vitest';
import { fewAtOnce } from '../../src/app/few-at-once.ts';
import { aheadOf, behindOf, type Turns, threadPace } from '../../src/app/pace.ts';

/** A few promises later: what was let go has come to its next wait. */
async function settled(): Promise<void> {
  for (let tick = 0; tick < 5; tick++) await Promise.resolve();
}

/** A thread whose turns and time move by hand. */
function handTurned() {
  let nowMs = 0;
  const next: (() => void)[] = [];
  const later: { atMs: number; run: () => void }[] = [];
  const turns: Turns = {
    nowMs: () => nowMs,
    nextTurn: (then) => void next.push(then),
    soon: (then) => void settled().then(then),
    after: (ms, then) => void later.push({ atMs: nowMs + ms, run: then }),
  };
  /** One turn of the event loop: what was called for before it, and the promises that follow. */
  const turn = async () => {
    for (const then of next.splice(0)) then();
    for (let part = 0; part < 10; part++) await settled();
  };
  return {
    turns,
    turn,
    passMs: async (ms: number) => {
      nowMs += ms;
      for (const { atMs, run } of later.splice(0))
        if (atMs <= nowMs) run();
        else later.push({ atMs, run });
      await turn();
    },
  };
}

describe('where a thread has more to do than a moment holds', () => {
  it('sends a reminder that is made before it looks at the next ward, and a handover’s words before its files', async () => {
    const thread = handTurned();
    const pace = threadPace(thread.turns);
    const went: string[] = [];
    for (const rank of ['file', 'handover', 'reminder', 'sending', 'reminder', 'sending'] as const)
      void pace.turn(rank).then(() => went.push(rank));
    for (let turn = 0; turn < 4; turn++) await thread.turn();
    expect(went).toEqual(['sending', 'sending', 'reminder', 'reminder', 'handover', 'file']);
  });

  it('lets reminders go before checks and handovers that waited longer, one rank in each turn', async () => {
    const thread = handTurned();
    const pace = threadPace(thread.turns);
    const went: string[] = [];
    for (const rank of ['handover', 'check', 'check', 'reminder', 'reminder'] as const)
      void pace.turn(rank).then(() => went.push(rank));
    const seen: number[] = [];
    for (let turn = 0; turn < 3; turn++) {
      await thread.turn();
      seen.push(went.length);
    }
    expect(seen).toEqual([2, 4, 5]);
    expect(went).toEqual(['reminder', 'reminder', 'check', 'check', 'handover']);
  });

  it('lets reminders go together for 5 ms in one turn, however long a turn is, and no longer', async () => {
    const thread = handTurned();
    const pace = threadPace(thread.turns);
    let went = 0;
    for (let asked = 0; asked < 5; asked++)
      void pace.turn('reminder').then(() => {
        went++;
        return thread.passMs(2);
      });
    await thread.turn();
    expect(went).toBe(3);
    await thread.turn();
    expect(went).toBe(5);
  });

  it('lets parts of handovers go together for 2 ms, for 4 where somebody waits, who is then given way the longer', async () => {
    for (const { isAhead, together, wayMs } of [
      { isAhead: false, together: 2, wayMs: 0 },
      { isAhead: true, together: 4, wayMs: 12 },
    ]) {
      const thread = handTurned();
      const pace = threadPace(thread.turns);
      if (isAhead) void pace.ahead(() => new Promise<void>(() => undefined));
      let went = 0;
      for (let asked = 0; asked < 10; asked++)
        void pace.turn('handover').then(() => {
          went++;
          return thread.passMs(1);
        });
      await thread.turn();
      expect(went).toBe(together);
      await thread.turn();
      if (wayMs > 0) await thread.passMs(wayMs - 1);
      expect(went).toBe(isAhead ? together : 2 * together);
      if (wayMs > 0) await thread.passMs(1);
      await thread.turn();
      expect(went).toBeGreaterThanOrEqual(2 * together);
    }
  });

  it('keeps each answer of a record that is behind until it is its turn; a failure waits for none', async () => {
    const thread = handTurned();
    const pace = threadPace(thread.turns);
    const record = behindOf(pace, 'handover', {
      name: 'a record',
      read: async (what: string): Promise<string> => {
        if (what === 'nothing') throw new Error('away');
        return what;
      },
    });
    expect(record.name).toBe('a record');
    await expect(record.read('nothing')).rejects.toThrow('away');
    const went: string[] = [];
    void record.read('a line').then((line) => went.push(line));
    await settled();
    expect(went).toEqual([]);
    void pace.turn('reminder').then(() => went.push('a reminder'));
    await thread.turn();
    await thread.turn();
    expect(went).toEqual(['a reminder', 'a line']);
  });

  it('lets what has waited for 5 s go all the same, reminders between two ranks of them', async () => {
    const thread = handTurned();
    const pace = threadPace(thread.turns);
    const went: string[] = [];
    const ask = (rank: 'reminder' | 'check' | 'handover') => void pace.turn(rank).then(() => went.push(rank));
    for (const rank of ['check', 'handover', 'handover'] as const) ask(rank);
    // Reminders that never end.
    const reminder = () =>
      void pace.turn('reminder').then(() => {
        went.push('reminder');
        reminder();
        return thread.passMs(6);
      });
    reminder();
    await thread.turn();
    await thread.turn();
    expect(went).toEqual(['reminder', 'reminder']);
    await thread.passMs(5_001);
    for (let turn = 0; turn < 5; turn++) await thread.turn();
    expect(went.slice(2)).toEqual([
      'handover',
      'handover',
      'reminder',
      'check',
      'reminder',
      'reminder',
      'reminder',
    ]);
  });

  /** A part that took so long. */
  async function worked(
    thread: ReturnType<typeof handTurned>,
    pace: ReturnType<typeof threadPace>,
    ms: number,
  ) {
    const part = pace.turn('reminder').then(() => thread.passMs(ms));
    await thread.turn();
    await part;
  }

  it('lets a handover wait while somebody waits for an answer, and go on once they have it', async () => {
    const thread = handTurned();
    const pace = threadPace(thread.turns);
    const went: string[] = [];
    await worked(thread, pace, 4);
    let answered = () => {};
    const draft = pace.ahead(() => new Promise<void>((resolve) => void (answered = resolve)));
    void pace.turn('handover').then(() => went.push('handover'));
    await thread.turn();
    await thread.passMs(10);
    expect(went).toEqual([]);
    answered();
    await draft;
    await thread.turn();
    expect(went).toEqual(['handover']);
  });

  it('but not for ever: where somebody always waits, a reminder gives way one length of a part, a handover three', async () => {
    const thread = handTurned();
    const pace = threadPace(thread.turns);
    const went: string[] = [];
    await worked(thread, pace, 4);
    void pace.ahead(() => new Promise<void>(() => undefined));
    void pace.turn('reminder').then(() => {
      went.push('reminder');
      return thread.passMs(4);
    });
    void pace.turn('handover').then(() => went.push('handover'));
    await thread.turn();
    await thread.passMs(3);
    expect(went).toEqual([]);
    await thread.passMs(1);
    await thread.turn();
    expect(went).toEqual(['reminder']);
    await thread.passMs(11);
    await thread.turn();
    expect(went).toEqual(['reminder']);
    await thread.passMs(1);
    await thread.turn();
    expect(went).toEqual(['reminder', 'handover']);
  });

  it('counts each call of a record that people wait behind, a failed one too', async () => {
    const thread = handTurned();
    const pace = threadPace(thread.turns);
    const record = aheadOf(pace, {
      name: 'a record',
      read: async (what: string): Promise<string> => {
        if (what === 'nothing') throw new Error('away');
        return what;
      },
    });
    expect(record.name).toBe('a record');
    await expect(record.read('a line')).resolves.toBe('a line');
    await expect(record.read('nothing')).rejects.toThrow('away');
    const went: string[] = [];
    void pace.turn('handover').then(() => went.push('handover'));
    await thread.turn();
    expect(went).toEqual(['handover']);
  });
});

describe('few at once', () => {
  /** Work that ends when it is told to. */
  function work(most: number) {
    const begun: string[] = [];
    const running = new Map<string, (goesOn: boolean) => void>();
    let highest = 0;
    const few = fewAtOnce(most, (name) => {
      begun.push(name);
      return new Promise((resolve) => {
        running.set(name, (goesOn) => {
          running.delete(name);
          resolve({ goesOn });
        });
        highest = Math.max(highest, running.size);
      });
    });
    return {
      few,
      begun,
      highest: () => highest,
      end: async (name: string, goesOn = false) => {
        running.get(name)?.(goesOn);
        for (let tick = 0; tick < 5; tick++) await Promise.resolve();
      },
    };
  }

  it('begins no more than so many, in the order asked for, each once however often it was asked for', async () => {
    const { few, begun, highest, end } = work(2);
    for (const ward of ['a', 'b', 'c', 'c', 'd']) few.ask(ward);
    expect(begun).toEqual(['a', 'b']);
    await end('b');
    await end('a');
    await end('c');
    await end('d');
    expect(begun).toEqual(['a', 'b', 'c', 'd']);
    expect(highest()).toBe(2);
  });

  it('does once more what was asked for while it ran', async () => {
    const { few, begun, end } = work(2);
    few.ask('a');
    few.ask('a');
    expect(begun).toEqual(['a']);
    await end('a');
    expect(begun).toEqual(['a', 'a']);
  });

  it('brings to its end what goes on before the next is begun', async () => {
    const { few, begun, end } = work(1);
    for (const ward of ['a', 'b', 'c']) few.ask(ward);
    await end('a', true);
    few.ask('a');
    await end('b');
    await end('a');
    expect(begun).toEqual(['a', 'b', 'a', 'c']);
  });

  it('begins nothing more once it is stopped', async () => {
    const { few, begun, end } = work(1);
    for (const ward of ['a', 'b']) few.ask(ward);
    few.stop();
    await end('a');
    expect(begun).toEqual(['a']);
  });
});
