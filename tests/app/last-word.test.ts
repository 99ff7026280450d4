import { describe, expect, it } from 'vitest';
import { lastWordAfterMs, pushLastWords } from '../../src/app/last-word.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

function lastWord(fails = false) {
  const left: { wardId: string; atMs: number }[] = [];
  const takenBack: string[] = [];
  return {
    left,
    takenBack,
    port: {
      async leave(ward: string, atMs: number) {
        if (fails) throw new Error('away');
        left.push({ wardId: ward, atMs });
      },
      async takeBack(ward: string) {
        takenBack.push(ward);
      },
    },
  };
}

describe('the message that speaks when the bot is dead', () => {
  it('is left 15 min ahead on a ward with a line', async () => {
    const app = appOnMemory(wall('02:00'));
    await app.place();
    const word = lastWord();
    await pushLastWords(app.deps, word.port, 1);
    expect(word.left).toEqual([{ wardId, atMs: wall('02:15') }]);
  });

  it('stands as far ahead in real time on a ward hurried 600 times', async () => {
    const app = appOnMemory(wall('02:00'));
    await app.place();
    const word = lastWord();
    await pushLastWords(app.deps, word.port, 600);
    expect(word.left[0]?.atMs).toBe(wall('02:00') + 600 * lastWordAfterMs);
  });

  it('is taken back once nothing is owed to any line', async () => {
    const app = appOnMemory(wall('02:00'));
    const { id } = await app.place();
    await recordOnLines(app.deps, { wardId, by: 'nina', via: 'form' }, [
      { lineId: id, draft: { kind: 'removed', body: { reason: 'death' } } },
    ]);
    const word = lastWord();
    await pushLastWords(app.deps, word.port, 1);
    expect(word).toMatchObject({ left: [], takenBack: [wardId] });
  });

  it('leaves the one before standing, and tells the operator, when the platform is away', async () => {
    const app = appOnMemory(wall('02:00'));
    await app.place();
    await pushLastWords(app.deps, lastWord(true).port, 1);
    expect(app.troubles).toEqual(['the message that speaks when the bot is dead could not be pushed ahead']);
  });
});
