import { describe, expect, it } from 'vitest';
import { deliverPosts } from '../../src/app/deliver-posts.ts';
import type { Messenger } from '../../src/app/ports.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { composeMessage } from '../../src/chat/messages/compose.ts';
import { usualDrafts } from '../../src/domain/duties/usual-drafts.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { drawn } from '../support/drawn-message.ts';
import { minute, wall, wardZone } from '../support/line-builder.ts';

/** Two dogs whose flush is due at 03:00, nina's; vera is on call where said, and the backup bea. What is posted stands by its key. */
async function ward({ onCall, unread = [] }: { onCall?: string; unread?: string[] }) {
  const app = appOnMemory(wall('02:00'));
  const shown = new Map<string, string>();
  const names = { of: async (user: string) => `@${user}` };
  const messenger: Messenger = {
    ...app.deps.messenger,
    async compose(post, view, now) {
      const { settled, superseded = false, text } = drawn(await composeMessage(post, view, names, now));
      return { message: text, hash: text, settled, superseded };
    },
    async send(_ward, { key, to }, { message }) {
      if (to !== 'ward' && unread.includes(to.user))
        return { is: 'refused', why: 'msg_too_long', forGood: true, nobodyReads: false };
      shown.set(key, String(message));
      return { is: 'sent', place: 'C0WARD', id: key };
    },
    async update(_ward, { key }, { place, id }, { message }) {
      shown.set(key, String(message));
      return { is: 'sent', place, id };
    },
  };
  const deps = { ...app.deps, messenger };
  const intent = { wardId, by: 'nina', via: 'button' } as const;
  const policy = { ...defaultPolicy(wardZone), backup: 'bea' };
  await recordOnWard(deps, intent, { kind: 'policySet', body: { policy } });
  if (onCall) await recordOnWard(deps, intent, { kind: 'onCallSet', body: { user: onCall } });
  const lines = [await app.place(), await app.place({ patient: { name: 'Pretzel' } })];
  for (const { id } of lines)
    await recordOnLines(
      deps,
      intent,
      usualDrafts(['zero', 'test']).map((draft) => ({ lineId: id, draft })),
    );
  const look = async (clock: string) => {
    app.clock.jumpTo(wall(clock));
    app.real.now += minute;
    await wakeWard(deps, wardId);
    await deliverPosts(deps, wardId);
  };
  return {
    look,
    texts: (part: string) => [...shown].flatMap(([key, text]) => (key.includes(part) ? [text] : [])),
    /** Nobody can flush that line: whoever decides is told at once. */
    cannotFlush: async (index: 0 | 1, clock: string) => {
      app.clock.jumpTo(wall(clock));
      const body = { text: 'no hands', cannot: ['flush', wall('03:00')] as ['flush', number] };
      await recordOnLines(deps, intent, [{ lineId: lines[index]?.id ?? '', draft: { kind: 'noted', body } }]);
      await look(clock);
    },
  };
}

const both = /Biscuit[^]*?[Ff]lush[^]*Pretzel[^]*?[Ff]lush/;

describe('what comes to be late while a notice stands is shown in it at once, and rings with the next repeat', () => {
  it('where nobody is on call: in the channel’s notice, and in the backup’s message', async () => {
    const { look, cannotFlush, texts } = await ward({});
    await cannotFlush(0, '03:02');
    expect(texts('.nobody.')).toEqual([expect.stringMatching(/^NOBODY IS ON CALL.*Biscuit/)]);
    expect(texts('.nobody.')[0]).not.toContain('Pretzel');
    await cannotFlush(1, '03:06');
    expect(texts('.nobody.')).toEqual([expect.stringMatching(both)]);
    expect(texts('.backup.')).toEqual([expect.stringMatching(both)]);
    await look('03:31');
    expect(texts('.nobody.')).toHaveLength(1);
    await look('03:32');
    expect(texts('.nobody.')).toEqual([
      'Nobody was on call 03:02; said again 03:32.',
      expect.stringMatching(both),
    ]);
  });

  it('where a direct message could not be delivered: in the notice that says so', async () => {
    const { look, cannotFlush, texts } = await ward({ onCall: 'vera', unread: ['vera'] });
    await cannotFlush(0, '03:02');
    expect(texts('.unreached.')).toEqual([expect.stringMatching(/^@vera could NOT be reached.*Biscuit/)]);
    await cannotFlush(1, '03:06');
    expect(texts('.unreached.')).toEqual([expect.stringMatching(both)]);
    await look('03:32');
    expect(texts('.unreached.')).toEqual([
      '@vera couldn’t be reached at 03:02; tried again 03:32.',
      expect.stringMatching(both),
    ]);
  });
});
