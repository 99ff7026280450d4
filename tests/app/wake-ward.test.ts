import { expect, test } from 'vitest';
import { tellLines } from '../../src/app/tell-lines.ts';
import { tellWard } from '../../src/app/tell-ward.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import type { Telling } from '../../src/domain/record/entry.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

test('two messages of one instant to one person are two: a “cannot” of that instant reaches the clinician', async () => {
  const app = appOnMemory(wall('19:00'));
  const intent = { wardId, by: 'nina', via: 'button' } as const;
  await tellWard(app.deps, intent, { kind: 'onCallSet', body: { user: 'vito' } });
  const { id } = await app.place();
  for (const at of ['19:10', '19:25', '19:40']) {
    app.clock.jumpTo(wall(at));
    await wakeWard(app.deps, wardId);
  }
  const escalations = async () =>
    (await app.record.readLog(wardId, id)).filter(
      (entry) => entry.kind === 'escalated' && entry.body.to === 'clinician',
    );
  const first = await escalations();
  expect(first.map(({ at }) => at)).toEqual([wall('19:40')]);
  const cannot: Telling = {
    kind: 'noted',
    body: { text: 'no tap will turn', cannot: ['zero', wall('19:00')] },
  };
  await tellLines(app.deps, intent, [{ lineId: id, telling: cannot }]);
  await wakeWard(app.deps, wardId);
  expect((await escalations()).map(({ at }) => at)).toEqual([wall('19:40'), wall('19:40')]);
  expect(app.troubles).toEqual([]);
});
