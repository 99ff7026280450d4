import { describe, expect, it } from 'vitest';
import { placeValuesFromWords } from '../../../src/chat/typed/place-words.ts';
import { valuesFromWords } from '../../../src/chat/typed/verb-words.ts';
import { lineVerb } from '../../../src/chat/verbs/line-verbs.ts';
import type { LineState } from '../../../src/domain/record/line-state.ts';
import { LineLog, testWard, wall, wardZone } from '../../support/line-builder.ts';
import { buttonsIn, composed, post } from './compose-for-test.ts';

const ward = testWard();
const now = wall('23:00');
const at = { now, zone: wardZone };
const card = (line: LineState, when: string) =>
  composed(post('card', when, { lines: [line.id] }), ward, [line]);

/** What was typed after the verb and the name, as it is told of the line. */
function typed(name: string, words: string, line: LineState) {
  const verb = lineVerb(name);
  if (!verb) throw new Error('no such verb');
  const read = valuesFromWords(verb, words, at);
  return 'problems' in read ? read : verb.drafts(read.values, line, ward.policy);
}

describe('a patient off the ward', () => {
  const capped = () => new LineLog('20:00').inOrder('20:05').add('capped', '22:00', { flushed: true });
  const away = () => capped().add('leftWard', '22:05', { to: 'theatre', with: 'nina' }).state();

  it('is told by words, with whoever has it, and not flushed where nobody said so', () => {
    const onWard = new LineLog('20:00').inOrder('20:05').state();
    expect(typed('moved', 'to theatre with <@U0ANA> capped', onWard)).toEqual({
      drafts: [
        { kind: 'capped', body: { flushed: false } },
        { kind: 'leftWard', body: { to: 'theatre', with: 'U0ANA' } },
      ],
    });
    expect(typed('moved', 'back', away())).toEqual({ drafts: [{ kind: 'returned', body: {} }] });
    expect(typed('moved', 'back on its transducer', away())).toMatchObject({ problems: expect.anything() });
    expect(typed('moved', 'back rejoined', away())).toEqual({
      drafts: [
        { kind: 'returned', body: {} },
        { kind: 'transducerJoined', body: { newSet: false, flushMode: 'manual' } },
      ],
    });
  });

  it('stands on the card with whoever has it and the tap that ends it; capped, with none for a zero', async () => {
    const made = await card(away(), '23:00');
    expect(made.text).toContain('In theatre since 22:05 with Nina');
    expect(made.text).toContain('Samples only: capped, no transducer since 22:00');
    expect(made.text).not.toContain('Zero 20:05');
    const actions = buttonsIn(made.blocks).map(({ action_id }) =>
      action_id?.split(':').slice(0, 2).join(':'),
    );
    expect(actions).toEqual(['done:flush', 'done:arrived', 'done:returned', 'open:card', 'open:mine']);
  });

  it('is asked after once it is away for longer than the ward’s hours', async () => {
    expect((await card(away(), '01:00')).text).not.toContain('is it back?');
    expect((await card(away(), '02:10')).text).toContain('Away for 4 h 5 min: is it back?');
  });
});

describe('a line that is registered by words', () => {
  it.each(['samples only', 'capped'])('as “%s” has no transducer and is flushed by hand', (words) => {
    const { values, problems } = placeValuesFromWords(`Biscuit dog 28kg left dorsal pedal 20g ${words}`, at);
    expect(values).toMatchObject({ name: 'Biscuit', transducer: false, flushMode: 'manual' });
    expect(problems).toEqual([]);
  });
});
