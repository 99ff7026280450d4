import { expect, test } from 'vitest';
import { type ChangedId, channelIds } from '../../src/app/channel-ids.ts';

/** A shelf that answers when it's let, and the ids that are read from it. */
function slowShelf() {
  let nowMs = 0;
  const asked: ((all: ChangedId[]) => void)[] = [];
  const ids = channelIds(
    {
      all: () => new Promise((answer) => void asked.push(answer)),
      put: async () => undefined,
    },
    () => nowMs,
  );
  return {
    ids,
    asked,
    answer: async (all: ChangedId[]): Promise<void> => {
      asked.shift()?.(all);
      await new Promise((resolve) => setImmediate(resolve));
    },
    pass: (ms: number) => {
      nowMs += ms;
    },
    /** Whether somebody who asks now is held up. */
    holdsUp: async (): Promise<boolean> => {
      let isHeld = true;
      void ids.refresh().then(() => {
        isHeld = false;
      });
      await new Promise((resolve) => setImmediate(resolve));
      return isHeld;
    },
  };
}

const changed = { team: 'T1', old: 'C0OLD', now: 'C0NEW' };

test('what was read a while ago is read anew beside the work; nobody waits for it', async () => {
  const { ids, asked, answer, pass, holdsUp } = slowShelf();
  expect(await holdsUp()).toBe(true);
  await answer([]);
  pass(2_000);
  expect(await holdsUp()).toBe(false);
  expect(asked).toHaveLength(0);
  pass(1_000);
  expect(await holdsUp()).toBe(false);
  expect(await holdsUp()).toBe(false);
  expect(asked).toHaveLength(1);
  await answer([changed]);
  expect(ids.first('T1', 'C0NEW')).toBe('C0OLD');
});

test('what was read too long ago is waited for', async () => {
  const { answer, pass, holdsUp } = slowShelf();
  await holdsUp();
  await answer([]);
  pass(5_000);
  expect(await holdsUp()).toBe(true);
});
