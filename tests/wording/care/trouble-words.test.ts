import { expect, it } from 'vitest';
import { troubleWords } from '../../../src/wording/care/trouble-words.ts';
import { clock, LineLog } from '../../support/line-builder.ts';

it('a fault that nobody has looked into says so, and one half-way what comes next', () => {
  const log = new LineLog('20:00').add('faultOpened', '22:00', { sign: 'spiky' });
  const said = () => {
    const line = log.state();
    const [fault] = line.faults;
    if (fault === undefined) throw new Error('no fault');
    return troubleWords({ what: 'fault', fault, left: false, others: 0 }, line, clock);
  };
  expect(said()).toBe('spiky trace 22:00, not looked into yet');
  log.add('faultStep', '22:01', { step: 'spiky.patient', answer: 'well' });
  expect(said()).toBe('spiky trace 22:00, still open; next: catheter');
});
