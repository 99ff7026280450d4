import { describe, expect, it } from 'vitest';
import { commandVerbs, parseCommand } from '../../../src/chat/typed/parse-command.ts';
import { lineVerbs } from '../../../src/chat/verbs/line-verbs.ts';
import * as fc from '../../support/properties.ts';

describe('parseCommand', () => {
  it.each([
    ['', { is: 'menu' }],
    [' \n ', { is: 'menu' }],
    ['flush Biscuit 1 mL', { is: 'verb', verb: 'flush', rest: 'Biscuit 1 mL' }],
    ['FLUSH Biscuit', { is: 'verb', verb: 'flush', rest: 'Biscuit' }],
    ['ｆｌｕｓｈ Biscuit', { is: 'verb', verb: 'flush', rest: 'Biscuit' }],
    ['oncall', { is: 'verb', verb: 'oncall', rest: '' }],
    ['help: flush', { is: 'verb', verb: 'help', rest: 'flush' }],
  ])('reads %j as %j', (text, command) => {
    expect(parseCommand(text)).toEqual(command);
  });

  it('suggests the verb that was meant by a slip', () => {
    expect(parseCommand('flsh Biscuit', '/lines')).toMatchObject({
      is: 'unknown',
      suggestion: 'flush',
      message:
        'I don’t know “flsh”. Did you mean /lines flush Biscuit? /lines help lists what you can type; /lines alone opens the menu.',
    });
  });

  it('says that the verb comes first when the name does', () => {
    expect(parseCommand('Biscuit flush')).toMatchObject({
      suggestion: 'flush',
      message: 'I don’t know “Biscuit”. Put what was done first: /artline flush Biscuit.',
    });
  });

  it.each([
    ['taken out Biscuit', 'taken out', 'Biscuit'],
    ['pulled Biscuit', 'pulled', 'Biscuit'],
    ['Biscuit is out', 'Biscuit', 'Biscuit'],
    ['taken out Due', 'taken out', 'Due'],
  ])('takes %j for a line that came out', (text, unknown, rest) => {
    expect(parseCommand(text)).toMatchObject({ is: 'unknown', suggestion: 'remove', rest });
    const { message } = parseCommand(text) as { message: string };
    expect(message).toContain(`I don’t know “${unknown}”. Did you mean /artline remove ${rest}?`);
  });

  it.each([
    ['Biscuit flushed', 'flush'],
    ['Biscuit removed', 'remove'],
    ['Biscuit zeroed', 'zero'],
  ])('knows what was done in %j', (text, suggestion) => {
    expect(parseCommand(text)).toMatchObject({
      suggestion,
      message: `I don’t know “Biscuit”. Put what was done first: /artline ${suggestion} Biscuit.`,
    });
  });

  it('knows every verb about a line', () => {
    expect(commandVerbs).toEqual(expect.arrayContaining(lineVerbs.map(({ verb }) => verb)));
  });

  it('answers any text at all, and quotes back at most 40 characters of it', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary', maxLength: 300 }), (text) => {
        const command = parseCommand(text);
        const typed = command.is === 'unknown' ? command.typed : '';
        expect(typed.length).toBeLessThanOrEqual(40);
      }),
    );
    expect(parseCommand('x'.repeat(4000))).toMatchObject({ is: 'unknown' });
  });
});
