import { setTimeout as pause } from 'node:timers/promises';
import { WebAPIRateLimitedError, type WebClient } from '@slack/web-api';
import { describe, expect, it } from 'vitest';
import type { HomeReaders, HomeShown } from '../../src/app/home-readers.ts';
import type { WardRecord } from '../../src/app/ports.ts';
import { homes } from '../../src/slack/homes.ts';

/** Homes of people without a ward, on a platform that notes what is sent; its time stands still but for `pass`. */
function onPaper(readersOf: readonly string[]) {
  let realMs = 1_000_000;
  const sent: { user: string; view: string }[] = [];
  const kept = new Map<string, HomeShown>();
  const lately = new Set(readersOf);
  const stage = {
    sent,
    pass: (ms: number) => {
      realMs += ms;
    },
    /** What the record waits for before it answers. */
    gate: Promise.resolve(),
    refusal: null as Error | null,
  };
  const readers: HomeReaders = {
    opened: async (user) => void lately.add(user),
    lately: async () => [...lately],
    shown: async (user) => kept.get(user) ?? null,
    keep: async (user, shown) => void kept.set(user, shown),
  };
  const record = {
    wardIds: async () => {
      const { gate } = stage;
      // Whoever asks after the first need not wait.
      stage.gate = Promise.resolve();
      await gate;
      return [];
    },
  } as unknown as WardRecord;
  const client = {
    views: {
      publish: async ({ user_id: user, view }: { user_id: string; view: unknown }) => {
        if (stage.refusal) throw stage.refusal;
        sent.push({ user, view: JSON.stringify(view) });
      },
    },
  } as unknown as WebClient;
  const atHome = homes({
    client,
    record,
    readers,
    clock: { now: () => 0 },
    realNow: () => realMs,
    names: { of: async (user) => user },
    membership: { isIn: async () => false, seenIn: () => undefined },
    command: '/artline',
    warning: async () => null,
    watch: { trouble: (what: string) => expect.unreachable(what) } as never,
  });
  return { sent, pass: stage.pass, stage, atHome };
}

describe('Homes', () => {
  it('are not drawn over by what was begun before an answer', async () => {
    const { stage, sent, atHome } = onPaper(['ina']);
    let open = () => {};
    stage.gate = new Promise((resolve) => {
      open = resolve;
    });
    const refreshing = atHome.refresh();
    await pause(5);
    const saying = atHome.say('ina', 'Recorded for Biscuit.');
    await pause(5);
    open();
    await Promise.all([refreshing, saying]);
    await atHome.refresh();
    expect(sent.at(-1)?.view).toContain('Recorded for Biscuit.');
  });

  it('say the last answer for 2 min, as long as it can be taken back', async () => {
    const { sent, pass, atHome } = onPaper([]);
    await atHome.say('ina', 'Recorded for Biscuit.');
    pass(119_000);
    await atHome.refresh();
    expect(sent).toHaveLength(1);
    pass(2_000);
    await atHome.refresh();
    expect(sent).toHaveLength(2);
    expect(sent[1]?.view).not.toContain('Recorded');
  });

  // Tier 4, 100 calls a minute and app: docs.slack.dev/apis/web-api/rate-limits.
  it('brought up to date by themselves are at most 50 a minute, the rest when there is room', async () => {
    const { sent, pass, atHome } = onPaper(Array.from({ length: 70 }, (_, index) => `U${index}`));
    await atHome.refresh();
    await atHome.refresh();
    expect(sent).toHaveLength(50);
    pass(60_001);
    await atHome.refresh();
    expect(new Set(sent.map(({ user }) => user)).size).toBe(70);
    await atHome.refresh();
    expect(sent).toHaveLength(70);
  });

  it('wait for the next time when the platform asks to wait', async () => {
    const { stage, sent, atHome } = onPaper(['ina', 'teo']);
    stage.refusal = new WebAPIRateLimitedError(5);
    await atHome.refresh();
    expect(sent).toHaveLength(0);
    stage.refusal = null;
    await atHome.refresh();
    expect(sent.map(({ user }) => user)).toEqual(['ina', 'teo']);
  });
});
