import { describe, expect, it } from 'vitest';
import { placeLine } from '../../src/app/place-line.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { wakeWard } from '../../src/app/wake-ward.ts';
import { ownLine } from '../../src/domain/animal/animal.ts';
import { bloodOfAnimal } from '../../src/domain/blood/blood-loss.ts';
import { dutiesOfLine } from '../../src/domain/duties/duties-of-line.ts';
import { foldLine } from '../../src/domain/fold/fold-line.ts';
import type { Entry, EntryDraft } from '../../src/domain/record/entry.ts';
import { type AppOnMemory, appOnMemory, wardId } from '../support/app-on-memory.ts';
import { hour, minute, type PlacedChanges, placedBody, wall } from '../support/line-builder.ts';

const evening = wall('20:00');
const intent = { wardId, by: 'nina', via: 'form' as const };
const miso: PlacedChanges = { patient: { name: 'Miso', species: 'cat', weightKg: 4 } };

async function tell(app: AppOnMemory, lineId: string, draft: EntryDraft) {
  const { lines } = await recordOnLines(app.deps, intent, [{ lineId, draft }]);
  return lines.get(lineId);
}

/** A cat with a line in the left foot, and one in the tail that was told to be the same animal's. */
async function twoLines(app: AppOnMemory) {
  const first = await app.place(miso);
  app.clock.jumpTo(evening + 10 * minute);
  const asked = await placeLine(app.deps, intent, placedBody({ ...miso, site: 'median caudal' }));
  expect(asked).toMatchObject({ is: 'whose', line: { id: first.id } });
  const second = await app.place({ ...miso, site: 'median caudal', animal: first.recordedAnimal ?? '' });
  return { first, second };
}

describe('an animal with two lines', () => {
  it('is asked after by name, and nothing is registered before it is answered', async () => {
    const app = appOnMemory(evening);
    const { first, second } = await twoLines(app);
    expect(second.recordedAnimal).toBe(first.id);
    const { lines } = await app.record.readWard(wardId);
    expect(lines.map(({ id, animal }) => [id, animal?.id, animal?.others.length])).toEqual([
      [first.id, first.id, 1],
      [second.id, first.id, 1],
    ]);
  });

  it('is another’s under another name, and without being asked once the stay of the first is over', async () => {
    const app = appOnMemory(evening);
    const { first } = await twoLines(app);
    const other = await app.place({
      patient: { name: 'Miso 2', species: 'cat', weightKg: 5 },
      site: 'femoral',
    });
    expect(other.animal).toBeUndefined();
    expect(other.recordedAnimal).toBe(other.id);
    for (const id of [first.id, 'line2'])
      await tell(app, id, { kind: 'removed', body: { reason: 'planned', tipWhole: true } });
    app.clock.jumpTo(app.clock.now() + 7 * 24 * hour + minute);
    const again = await app.place({ ...miso, site: 'femoral' });
    expect(again.recordedAnimal).toBe(again.id);
  });

  it('counts blood drawn by either line, also by one that left the ward’s list', async () => {
    const app = appOnMemory(evening);
    const { first, second } = await twoLines(app);
    await tell(app, first.id, { kind: 'sampled', body: { volumeMl: 3, flushed: true } });
    const told = await tell(app, second.id, { kind: 'sampled', body: { volumeMl: 2.2, flushed: true } });
    expect(told && bloodOfAnimal(told, app.clock.now())).toMatchObject({ ml: 5.2, lines: 2 });

    await tell(app, first.id, { kind: 'removed', body: { reason: 'transfer', tipWhole: true } });
    app.clock.jumpTo(app.clock.now() + 25 * hour);
    await wakeWard(app.deps, wardId);
    const { lines } = await app.record.readWard(wardId);
    expect(lines.map(({ id }) => id)).toEqual([second.id]);
    const line = await app.record.readLine(wardId, second.id);
    expect(line && bloodOfAnimal(line, app.clock.now())).toMatchObject({
      ml: 0,
      stayMl: 5.2,
      stayLines: 2,
    });
  });

  it('of an older record stays one when the name of one of its lines is put right, until one is told to be another’s', async () => {
    const app = appOnMemory(evening);
    for (const [id, site] of [
      ['old1', 'femoral'],
      ['old2', 'radial'],
    ] as const) {
      const placed = {
        at: evening,
        told: evening,
        by: 'nina',
        via: 'form' as const,
        kind: 'placed' as const,
      };
      const entries: Entry[] = [{ ...placed, body: placedBody({ ...miso, site }) }];
      const line = { id, expected: 0, entries, after: foldLine(id, entries), listed: true };
      await app.record.commit(wardId, { lines: [line], wakes: {}, posts: [] });
    }
    const patient = { ...placedBody(miso).patient, name: 'Misu' };
    await tell(app, 'old2', { kind: 'amended', body: { target: 1, body: { patient } } });
    const { lines } = await app.record.readWard(wardId);
    expect(lines.map((line) => [line.patient.name, line.animal?.id, line.recordedAnimal])).toEqual([
      ['Misu', 'old1', 'old1'],
      ['Misu', 'old1', 'old1'],
    ]);
    await tell(app, 'old1', { kind: 'amended', body: { target: 1, body: { animal: 'another' } } });
    const apart = await app.record.readWard(wardId);
    expect(apart.lines.map((line) => [line.patient.name, line.animal?.id])).toEqual([
      ['Miso', undefined],
      ['Misu', undefined],
    ]);
  });

  it('answers two lines told of at once with what both have come to', async () => {
    const app = appOnMemory(evening);
    const { first, second } = await twoLines(app);
    const draft: EntryDraft = { kind: 'sampled', body: { volumeMl: 1, flushed: true } };
    const items = [first.id, second.id].map((lineId) => ({ lineId, draft }));
    const { lines } = await recordOnLines(app.deps, intent, items);
    for (const line of lines.values()) expect(bloodOfAnimal(line, app.clock.now()).ml).toBe(2);
  });

  it('has the card of the other line brought up to date, and stores each line as its own log has it', async () => {
    const app = appOnMemory(evening);
    const { first, second } = await twoLines(app);
    const waiting = async () => {
      const keys = [];
      for (;;) {
        const taken = await app.record.takePost(wardId, (app.real.now += 2_000));
        if (!('row' in taken)) return keys;
        keys.push(taken.row.post.key);
        await app.record.postDone(wardId, taken.row.post.key, { place: 'C', id: 'm', hash: 'h' }, false);
      }
    };
    expect(await waiting()).toEqual([`9.card.${first.id}`, `9.card.${second.id}`]);
    const patient = { name: 'Miso', species: 'dog' as const, weightKg: 3.8, bleeding: true };
    await tell(app, second.id, { kind: 'amended', body: { target: 1, body: { patient } } });
    expect(await waiting()).toEqual([`9.card.${first.id}`, `9.card.${second.id}`]);

    const line = await app.record.readLine(wardId, first.id);
    expect(line?.patient).toEqual(patient);
    expect(line && ownLine(line).patient).toEqual(placedBody(miso).patient);
    expect((await app.record.readLog(wardId, first.id)).map(({ kind }) => kind)).toEqual(['placed']);
  });
});

describe('an animal with two lines that goes to theatre', () => {
  const left: EntryDraft = { kind: 'leftWard', body: { to: 'theatre', with: 'ana' } };
  const awayOf = async (app: AppOnMemory) =>
    (await app.record.readWard(wardId)).lines.map(({ away }) => away && `${away.to} ${away.with}`);

  it('takes both along, arrives and comes back with both, whichever was told of it', async () => {
    const app = appOnMemory(evening);
    const { first, second } = await twoLines(app);
    const outcome = await recordOnLines(app.deps, intent, [{ lineId: second.id, draft: left }]);
    expect(outcome.results.map(({ is, lineId }) => [is, lineId])).toEqual([
      ['taken', second.id],
      ['taken', first.id],
    ]);
    expect(await awayOf(app)).toEqual(['theatre ana', 'theatre ana']);
    await tell(app, first.id, { kind: 'arrived', body: {} });
    const { lines } = await app.record.readWard(wardId);
    expect(lines.map(({ away }) => away?.arrivedAt)).toEqual([app.clock.now(), app.clock.now()]);
    await tell(app, first.id, { kind: 'returned', body: { with: 'nell' } });
    expect(await awayOf(app)).toEqual([null, null]);
    expect((await app.record.readWard(wardId)).lines.map(({ nurse }) => nurse)).toEqual(['nell', 'nell']);
  });

  it('brings back the limb of one that came out there', async () => {
    const app = appOnMemory(evening);
    const { first, second } = await twoLines(app);
    await tell(app, first.id, left);
    await tell(app, second.id, { kind: 'removed', body: { reason: 'planned', tipWhole: true } });
    await tell(app, first.id, { kind: 'returned', body: {} });
    expect(await awayOf(app)).toEqual([null, null]);
  });

  it('leaves alone a line placed since, another animal’s, and all where nothing was taken', async () => {
    const app = appOnMemory(evening);
    const { first, second } = await twoLines(app);
    const other = await app.place({ patient: { name: 'Tofu', species: 'dog', weightKg: 20 } });
    const before = { ...intent, at: evening + 5 * minute };
    await recordOnLines(app.deps, before, [{ lineId: first.id, draft: left }]);
    const awayAt = async (id: string) => (await app.record.readLine(wardId, id))?.away?.to ?? null;
    expect([await awayAt(first.id), await awayAt(second.id), await awayAt(other.id)]).toEqual([
      'theatre',
      null,
      null,
    ]);
    const refused = await recordOnLines(app.deps, intent, [
      { lineId: second.id, draft: { kind: 'returned', body: {} } },
    ]);
    expect(refused.results.map(({ is }) => is)).toEqual(['refused']);
    expect(await awayAt(first.id)).toBe('theatre');
  });
});

describe('an animal with lines that dies', () => {
  it('has them all out, and nothing is asked any more of a limb whose line was out before', async () => {
    const app = appOnMemory(evening);
    const { first, second } = await twoLines(app);
    const third = await app.place({ ...miso, site: 'femoral', animal: first.recordedAnimal ?? '' });
    await tell(app, third.id, { kind: 'removed', body: { reason: 'occluded', tipWhole: true } });
    const owed = async () => {
      const { ward, lines } = await app.record.readWard(wardId);
      return lines.filter((line) => dutiesOfLine(line, ward.policy, app.clock.now()).length > 0).length;
    };
    expect(await owed()).toBe(3);
    await tell(app, first.id, { kind: 'removed', body: { reason: 'death' } });
    expect((await app.record.readLine(wardId, second.id))?.removed?.reason).toBe('death');
    expect((await app.record.readLine(wardId, third.id))?.removed?.reason).toBe('occluded');
    expect(await owed()).toBe(0);
  });
});
