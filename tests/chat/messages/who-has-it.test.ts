import { expect, it } from 'vitest';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { asked, buttonsIn, composed, post } from './compose-for-test.ts';

/** Nina was told at 21:10 of a flush, and at 21:20 of the test; at 21:30 the line was given to noor, who was told. */
const given = () =>
  new LineLog('20:00')
    .add('zeroed', '20:05', {})
    .add('escalated', '21:10', { duties: [['flush', wall('21:00')]], to: 'nurse', user: 'nina' })
    .add('escalated', '21:20', {
      duties: [['test', wall('20:00')]],
      to: 'nurse',
      user: 'nina',
      joins: wall('21:10'),
    })
    .add('assigned', '21:30', { nurse: 'noor' })
    .add('escalated', '21:30', { duties: [['test', wall('20:00')]], to: 'nurse', user: 'noor' });
const told = (log: LineLog) =>
  post('escalation', '21:10', {
    to: { user: 'nina' },
    about: { what: 'nurse' },
    asked: asked(log.state(), { flush: '21:00' }),
    lines: [log.id],
  });

it('says to a nurse who has what is late of a line that was theirs, and keeps the buttons', async () => {
  const log = given();
  const { text, blocks } = await composed(told(log), testWard(), [log.state()], '21:31');
  expect(text).toMatch(/^Biscuit \(left dorsal pedal\): flush, 10 min late\..* Now with @noor/);
  expect(buttonsIn(blocks).length).toBeGreaterThan(0);
});

it('calls nothing settled that another nurse has still, and all once it is done', async () => {
  const log = given().add('flushed', '21:32', {});
  expect((await composed(told(log), testWard(), [log.state()], '21:33')).text).toMatch(/^Now with @noor/);
  log.add('fastFlushTested', '21:34', { verdict: 'normal' });
  expect((await composed(told(log), testWard(), [log.state()], '21:35')).text).toMatch(/^Settled\./);
});

it('says nothing of it while the line is theirs', async () => {
  const log = new LineLog('20:00').add('zeroed', '20:05', {});
  expect((await composed(told(log), testWard(), [log.state()], '21:31')).text).not.toContain('Now with');
});

it('says nothing of other nurses’ lines, though it is brought up to date with every line of the ward', async () => {
  const [hers, noors] = [
    given(),
    new LineLog('20:00', { nurse: 'noor', patient: { name: 'Rex' } }, 'line-2'),
  ];
  const mine = new LineLog('20:00').add('zeroed', '20:05', {});
  const of = (log: LineLog) => ({ ...told(log), lines: [log.id, noors.id] });
  const of21 = (log: LineLog) => composed(of(log), testWard(), [log.state(), noors.state()], '21:31');
  expect((await of21(mine)).text).not.toContain('Now with');
  expect((await of21(hers)).text).toContain('Now with @noor');
});
