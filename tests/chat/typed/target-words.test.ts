import { describe, expect, it } from 'vitest';
import { targetsFromWords } from '../../../src/chat/typed/target-words.ts';
import { hour, minute, wall, wardZone } from '../../support/line-builder.ts';

const now = wall('22:00');
const read = (text: string) => targetsFromWords(text, { now, zone: wardZone }, '/artline targets Biscuit …');

describe('the words after targets', () => {
  it.each([
    ['map 60-80', { mapMmHg: { low: 60, high: 80 } }],
    ['mean 60 to 80 mmHg', { mapMmHg: { low: 60, high: 80 } }],
    ['map between 60 and 80', { mapMmHg: { low: 60, high: 80 } }],
    ['sap from 100', { sapMmHg: { low: 100 } }],
    ['systolic at least 100', { sapMmHg: { low: 100 } }],
    ['sap up to 160', { sapMmHg: { high: 160 } }],
    ['dap >40, map ≤90', { dapMmHg: { low: 40 }, mapMmHg: { high: 90 } }],
    ['map 80–100mmHg and sap below 160', { mapMmHg: { low: 80, high: 100 }, sapMmHg: { high: 160 } }],
  ])('%s', (pressures, targets) => {
    expect(read(`${pressures} until 06:00 reason head injury`)).toEqual({
      is: 'ok',
      targets,
      reason: 'head injury',
      until: wall('06:00'),
    });
  });

  it.each([
    ['until 06:00', wall('06:00')],
    ['until tomorrow 23:00', wall('2026-11-25 23:00')],
    ['for 6 h', now + 6 * hour],
    ['for 90min', now + 90 * minute],
  ])('hold %s', (time, until) => {
    expect(read(`map from 60 ${time} because she bleeds`)).toMatchObject({ is: 'ok', until });
  });

  it('alone open the form, and end ends them', () => {
    expect(read('')).toEqual({ is: 'form' });
    expect(read('end')).toEqual({ is: 'end' });
    expect(read('off')).toEqual({ is: 'end' });
  });

  it.each([
    ['map 60 until 06:00 reason x y z', 'Mean: is 60 the lowest or the highest?'],
    ['map 80-60 until 06:00 reason head injury', 'Mean: 80 is not below 60.'],
    ['map 600 until 06:00 reason head injury', 'give 20 to 250 mmHg'],
    ['map 60-80 map 70-90 until 06:00 reason head injury', 'Mean is there twice'],
    ['map 60-80 not until 06:00 reason head injury', '“not”'],
    ['map 60-80 reason head injury', 'Until when'],
    ['map 60-80 until soon reason head injury', '“until soon” isn’t a time still to come'],
    ['map 60-80 until 06:00', 'Why?'],
    ['until 06:00 reason head injury', 'No pressure was given'],
  ])('%s is refused, with how to write it', (text, why) => {
    const found = read(text);
    expect(found.is).toBe('wrong');
    const message = found.is === 'wrong' ? found.message : '';
    expect(message).toContain(why);
    expect(message).toContain('Write it like this: /artline targets Biscuit');
  });
});
