import { describe, expect, it } from 'vitest';
import { answerFault } from '../../src/app/answer-fault.ts';
import { recordOnLines } from '../../src/app/record-on-lines.ts';
import { bloodLostMl } from '../../src/domain/blood/blood-loss.ts';
import { nextQuestion } from '../../src/domain/fault/next-question.ts';
import { openFault } from '../../src/domain/fold/fold-faults.ts';
import { appOnMemory, wardId } from '../support/app-on-memory.ts';
import { wall } from '../support/line-builder.ts';

/** A line without a trace whose path was gone up to whether it is joined, and what was answered there. */
async function upTo(joined: string) {
  const app = appOnMemory(wall('21:00'));
  const line = await app.place({ patient: { species: 'cat', weightKg: 4 } });
  const intent = { wardId, by: 'nina', via: 'button' } as const;
  await recordOnLines(app.deps, intent, [
    { lineId: line.id, draft: { kind: 'faultOpened', body: { sign: 'none' } } },
  ]);
  const answer = (step: string, given: string) =>
    answerFault(app.deps, intent, line.id, 'none', { step: `none.${step}`, answer: given });
  await answer('patient', 'well');
  await answer('joined', joined);
  const now = async () => {
    const after = await app.record.readLine(wardId, line.id);
    if (!after) throw new Error('the line is gone');
    return after;
  };
  const asked = async () => {
    const next = nextQuestion('none', openFault(await now(), 'none')?.steps ?? []);
    return next.is === 'ask' ? next.question.id : 'the end';
  };
  return { answer, now, asked };
}

// What to do with a line that came apart: common practice, no source.
describe('a line that came apart', () => {
  it('is asked for the blood it lost, which counts with the samples, and makes a zero due', async () => {
    const { answer, now, asked } = await upTo('rejoined');
    expect(await asked()).toBe('lost');
    await answer('lost', '5 mL');
    const line = await now();
    expect(bloodLostMl(line.samples)).toBe(5);
    expect(line.last.disturbed).toMatchObject({ by: 'nina' });
    expect(line.zeroCause).not.toBeNull();
    // Told once more, by a second thumb, it is the same blood.
    await answer('lost', '5 mL');
    expect(bloodLostMl((await now()).samples)).toBe(5);
    await answer('lost.fixed', 'not yet');
    expect(await asked()).toBe('limb');
  });

  it('of which nobody can tell how much it bled goes to the clinician, disconnected, with no volume', async () => {
    const { answer, now } = await upTo('rejoined');
    await answer('lost', 'more');
    const line = await now();
    expect(line.faultLeft?.steps.at(-1)).toEqual({ step: 'none.lost', answer: 'more' });
    expect(line.last.disturbed).toBeDefined();
    expect(line.samples).toEqual([]);
  });

  it('is not asked so where it was joined', async () => {
    const { answer, now, asked } = await upTo('joined');
    expect(await asked()).toBe('limb');
    await answer('lost', '5 mL');
    expect((await now()).samples).toEqual([]);
  });
});
