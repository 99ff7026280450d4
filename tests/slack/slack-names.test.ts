import type { WebClient } from '@slack/web-api';
import { describe, expect, it, onTestFinished, vi } from 'vitest';
import { mrkdwn } from '../../src/slack/render/mrkdwn.ts';
import { slackNames } from '../../src/slack/slack-names.ts';

function platform(answer: () => Promise<unknown>) {
  const asked: string[] = [];
  const info = ({ user }: { user: string }) => {
    asked.push(user);
    return answer();
  };
  let now = 1_000_000;
  const names = slackNames(
    { users: { info } } as unknown as WebClient,
    () => now,
    async () => [],
  );
  return { asked, names, pass: (ms: number) => void (now += ms) };
}

const ina = async () => ({ user: { profile: { display_name: 'Ina <b>' } } });

describe('a name', () => {
  it('is asked for once an hour, and cannot mention or format', async () => {
    const { asked, names, pass } = platform(ina);
    expect(mrkdwn(await names.of('U1'))).toBe('Ina &lt;b&gt;');
    pass(59 * 60_000);
    await names.of('U1');
    expect(asked).toHaveLength(1);
    pass(2 * 60_000);
    await names.of('U1');
    expect(asked).toHaveLength(2);
  });

  it('that does not come is not waited for, nor asked for again for half a minute', async () => {
    vi.useFakeTimers();
    onTestFinished(() => void vi.useRealTimers());
    const { asked, names, pass } = platform(() => new Promise(() => undefined));
    const first = names.of('U1');
    await vi.advanceTimersByTimeAsync(2_000);
    expect(mrkdwn(await first)).toBe('<@U1>');
    expect(mrkdwn(await names.of('U1'))).toBe('<@U1>');
    expect(asked).toHaveLength(1);
    pass(31_000);
    void names.of('U1');
    expect(asked).toHaveLength(2);
  });

  it('that is refused is a mention, or the last one known', async () => {
    let away = false;
    const { names, pass } = platform(() => (away ? Promise.reject(new Error('away')) : ina()));
    await names.of('U1');
    away = true;
    pass(61 * 60_000);
    expect(mrkdwn(await names.of('U1'))).toBe('Ina &lt;b&gt;');
    expect(mrkdwn(await names.of('U2'))).toBe('<@U2>');
  });
});

describe('a ward’s name', () => {
  const named = (wardIds: string[]) => {
    const asked: string[] = [];
    const info = async ({ channel }: { channel: string }) => {
      asked.push(channel);
      return { channel: { name: 'cat-icu' } };
    };
    const client = { conversations: { info } } as unknown as WebClient;
    return {
      asked,
      names: slackNames(
        client,
        () => 1_000_000,
        async () => wardIds,
      ),
    };
  };

  it('is its channel’s, asked for once, where the workspace has another ward', async () => {
    const { asked, names } = named(['T1.C1', 'T1.C2']);
    expect(await names.ward?.('T1.C1')).toBe('#cat-icu');
    expect(await names.ward?.('T1.C1')).toBe('#cat-icu');
    expect(asked).toEqual(['C1']);
  });

  it('is asked for by nobody where the workspace has no other', async () => {
    const { asked, names } = named(['T1.C1', 'T2.C1']);
    expect(await names.ward?.('T1.C1')).toBeNull();
    expect(asked).toEqual([]);
  });
});
