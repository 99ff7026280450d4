import { afterAll, beforeAll, expect, it } from 'vitest';
import type { TinyWard } from './tiny-app.ts';

/** The whole way of one command through a real Bolt app: the same over every transport. */
export function journeyContract(start: () => Promise<TinyWard>): void {
  let ward: TinyWard;
  beforeAll(async () => {
    ward = await start();
  });
  afterAll(() => ward.stop());

  it('answers a command with a menu, opens its form, shows its error and keeps the second try', async () => {
    const { platform, weighed } = ward;
    const slash = await platform.slash({ user: 'ina' });
    expect(slash).toMatchObject({ acked: true, body: {} });
    const menu = await platform.until('the menu', () => platform.ephemerals('ina').at(-1));
    expect(menu.text).toBe('What is there to do?');
    expect(platform.ephemerals('teo')).toEqual([]);

    await platform.press({ user: 'ina', messageTs: menu.ts, actionId: 'open' });
    const view = await platform.until('the form', () => platform.view('ina'));

    const empty = await platform.submit({ user: 'ina', viewId: view.id });
    expect(empty.accepted).toBe(false);
    expect(Object.keys(empty.errors)).toEqual(['name', 'species', 'weight']);

    await platform.fill(view.id, { name: 'Biscuit & <co>', species: 'dog', weight: '400' });
    const heavy = await platform.submit({ user: 'ina', viewId: view.id });
    expect(heavy.errors).toEqual({ weight: '400 kg is above 120 kg. Write the weight in kg.' });
    expect(platform.view('ina')?.id).toBe(view.id);

    await platform.fill(view.id, { weight: '28' });
    const sent = await platform.submit({ user: 'ina', viewId: view.id });
    expect(sent).toMatchObject({ acked: true, accepted: true, errors: {} });
    expect(platform.view('ina')).toBeUndefined();
    expect(weighed).toEqual([{ name: 'Biscuit & <co>', weightKg: 28 }]);

    const posted = await platform.until('the post', () => platform.messages('C0WARDEAST').at(-1));
    await platform.press({ user: 'teo', messageTs: posted.ts, actionId: 'later' });
    const updated = await platform.until('the update', () =>
      platform.messages('C0WARDEAST').find((m) => m.edited),
    );
    expect(updated.ts).toBe(posted.ts);
    expect(updated.text).toBe('Put off by teo');
    await expect(platform.press({ user: 'ina', messageTs: posted.ts, actionId: 'later' })).rejects.toThrow(
      "no 'later' here to press",
    );
    expect(platform.warnings).toEqual([]);
  });

  it('replaces a private message through its response address', async () => {
    const { platform } = ward;
    await platform.slash({ user: 'teo' });
    const menu = await platform.until('the menu', () => platform.ephemerals('teo').at(-1));
    await platform.press({ user: 'teo', messageTs: menu.ts, actionId: 'done' });
    const replaced = await platform.until('the replacement', () =>
      platform.ephemerals('teo').find((message) => message.text === 'All done.'),
    );
    expect(replaced.ts).toBe(menu.ts);
    expect(replaced.blocks).toBeUndefined();
  });

  it('replaces what a command was answered through that command’s response address', async () => {
    const { platform } = ward;
    const before = platform.ephemerals('teo').length;
    await platform.slash({ user: 'teo', text: 'count' });
    await platform.until(
      'the second answer',
      () => platform.ephemerals('teo').at(-1)?.text === 'Counted: 12.',
    );
    expect(platform.ephemerals('teo').length).toBe(before + 1);
  });

  it('tells the app when a form is closed, because it asked to be told', async () => {
    const { platform } = ward;
    await platform.slash({ user: 'jorn' });
    const menu = await platform.until('the menu', () => platform.ephemerals('jorn').at(-1));
    await platform.press({ user: 'jorn', messageTs: menu.ts, actionId: 'open' });
    const view = await platform.until('the form', () => platform.view('jorn'));
    await platform.close({ user: 'jorn', viewId: view.id });
    expect(platform.deliveries.at(-1)).toMatchObject({
      acked: true,
      payload: { type: 'view_closed', is_cleared: false, view: { id: view.id } },
    });
    expect(platform.view('jorn')).toBeUndefined();
  });
}
