import { expect, it } from 'vitest';
import { recordOnWard } from '../../src/app/record-on-ward.ts';
import { takeBackOfWard } from '../../src/app/take-back-ward.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { minute, wall } from '../support/line-builder.ts';

it('what was set of a ward is taken back by whoever set it alone, within 2 min, once', async () => {
  const app = appOnMemory(wall('21:00'));
  const by = (user: string) => ({ wardId, by: user, via: 'button' }) as const;
  const set = (user: string) => recordOnWard(app.deps, by('nina'), { kind: 'onCallSet', body: { user } });
  const onCall = async () => (await app.record.readWardState(wardId)).onCallSet?.user;
  await set('vera');
  await set('vito');
  expect(await takeBackOfWard(app.deps, by('teo'), 2)).toEqual({ is: 'not theirs' });
  expect(await takeBackOfWard(app.deps, by('nina'), 1)).toEqual({ is: 'not the last' });
  expect(await onCall()).toBe('vito');
  expect(await takeBackOfWard(app.deps, by('nina'), 2)).toMatchObject({ is: 'taken back', what: 'onCall' });
  expect(await takeBackOfWard(app.deps, by('nina'), 2)).toEqual({ is: 'not the last' });
  expect(await onCall()).toBe('vera');
  await set('vito');
  app.clock.jumpTo(wall('21:00') + 2 * minute + 1);
  expect(await takeBackOfWard(app.deps, by('nina'), 4)).toEqual({ is: 'too late', told: wall('21:00') });
  expect(await onCall()).toBe('vito');
});
