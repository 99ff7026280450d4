import { describe, expect, it } from 'vitest';
import { handoverTexts } from '../../support/handed-over.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { names } from './compose-for-test.ts';

const cat = { patient: { name: 'Mochi', species: 'cat', weightKg: 4 } } as const;
const at = wall('18:45');

/** A cat with a line in the foot, and one in the tail that was flushed late, damped for a while, and taken out. */
function twoLines(): LineLog[] {
  const foot = new LineLog('14:00', cat, 'foot').inOrder('14:05').add('flushed', '15:30', { volumeMl: 0.5 });
  const tail = new LineLog('14:00', { ...cat, site: 'median caudal', animal: 'foot' }, 'tail')
    .inOrder('14:05')
    .add('flushed', '15:40', { volumeMl: 0.5 })
    .add('faultOpened', '16:00', { sign: 'flat' })
    .add('faultClosed', '16:10', { sign: 'flat', resolved: true })
    .add('removed', '16:20', { reason: 'planned', tipWhole: true });
  return [foot, tail];
}

describe('the handover of an animal one of whose lines is out', () => {
  it('says what was late of it, and nothing of what to do when its flush is late or its trace fails again', async () => {
    const { first, patients } = await handoverTexts(twoLines(), testWard(), at, { names });
    const row = first.split('Mochi (cat, median caudal)')[1]?.split('Mochi (')[0] ?? '';
    expect(row).toMatch(/flush .*late/);
    expect(first.match(/Late again/g)).toBeNull();
    const tail = patients.slice(patients.indexOf('median caudal'));
    expect(tail).toMatch(/flush .*late/);
    expect(tail).not.toContain('Late again');
    expect(tail).not.toContain('fault questions');
  });

  it('names each line’s artery once', async () => {
    const { first } = await handoverTexts(twoLines(), testWard(), at, { names });
    expect(first).not.toMatch(/Mochi \([^)]*\) \(/);
  });
});

describe('a line flushed in the minute it was placed', () => {
  it('isn’t said to be unflushed', async () => {
    const log = new LineLog('18:00').inOrder('18:00').add('flushed', '18:00', { volumeMl: 2 });
    const { patients } = await handoverTexts([log], testWard(), at, { names });
    expect(patients).toContain('1 hand flush, 2 mL');
    expect(patients).toContain('Flushed 18:00');
    expect(patients).not.toContain('Not flushed');
  });
});
