import { describe, expect, it } from 'vitest';
import { dueList } from '../../../src/chat/answers/due-list.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { names } from '../messages/compose-for-test.ts';

describe('what is due', () => {
  it('names what a clinician must look at, and not only that one must', async () => {
    const line = new LineLog('18:00')
      .inOrder('18:05')
      .add('siteChecked', '18:30', { finding: { swelling: true, cold: true } })
      .state();
    const { text } = await dueList({ ward: testWard(), lines: [line] }, names, wall('18:40'));
    expect(text).toContain('Swelling and cold hind foot, seen 18:30: a clinician must look now.');
    expect(text).not.toContain('look at the finding');
  });

  it('says of what a clinician saw when it is asked again, and no more that one must look now', async () => {
    const line = new LineLog('18:00')
      .inOrder('18:05')
      .add('siteChecked', '18:30', { finding: { cold: true } })
      .add('waived', '18:35', {
        duty: 'finding',
        dueAt: wall('18:30'),
        reason: 'warm it, recheck',
        until: wall('20:35'),
      })
      .state();
    const { text } = await dueList({ ward: testWard(), lines: [line] }, names, wall('18:40'));
    expect(text).toContain('Cold hind foot, seen 18:30: seen by a clinician, asked again 20:35.');
  });

  it('names a fault that was left', async () => {
    const line = new LineLog('18:00')
      .inOrder('18:05')
      .add('faultOpened', '18:30', { sign: 'flat' })
      .add('faultClosed', '18:35', { resolved: false, sign: 'flat' })
      .state();
    const { text } = await dueList({ ward: testWard(), lines: [line] }, names, wall('18:40'));
    expect(text).toMatch(/Line fault not resolved: flat, .* recorded 18:35: a clinician must look now\./);
  });

  it('puts it before care that is late for longer', async () => {
    const late = new LineLog('15:00', { patient: { name: 'Abel' } }, 'abel').state();
    const seen = new LineLog('18:00', { patient: { name: 'Zoe' } }, 'zoe')
      .inOrder('18:05')
      .add('siteChecked', '18:30', { finding: { noPulse: true } })
      .state();
    const { text } = await dueList({ ward: testWard(), lines: [late, seen] }, names, wall('18:40'));
    expect(text.indexOf('Zoe')).toBeLessThan(text.indexOf('Abel'));
    expect(text).toMatch(/Zoe · [^•]*No pulse below, seen 18:30/);
  });
});
