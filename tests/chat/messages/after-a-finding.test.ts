import { expect, it } from 'vitest';
import { handoverTexts } from '../../support/handed-over.ts';
import { LineLog, testWard, wall } from '../../support/line-builder.ts';
import { asked, composed, names, post } from './compose-for-test.ts';

it('a pulse that was absent and then weak keeps its words', async () => {
  const log = new LineLog('20:00')
    .add('siteChecked', '21:00', { finding: {} })
    .add('removed', '22:00', { reason: 'planned' })
    .add('pulseChecked', '23:00', { pulse: 'absent' })
    .add('escalated', '23:00', { duties: [['finding', wall('23:00')]], to: 'clinician', user: 'vet' })
    .add('pulseChecked', '23:20', { pulse: 'weak' });
  const p = post('escalation', '23:30', {
    to: { user: 'vet' },
    about: { what: 'clinician' },
    asked: asked(log.state(), { finding: '23:00' }),
    lines: [log.id],
  });
  const m = await composed(p, testWard(), [log.state()]);
  expect(m.text).not.toMatch(/: , seen/);
});
it('a finding that was decided on says by whom and why', async () => {
  const log = new LineLog('20:00')
    .add('siteChecked', '03:00', { finding: { swelling: true } })
    .add('escalated', '03:00', { duties: [['finding', wall('03:00')]], to: 'clinician', user: 'vet' })
    .add(
      'waived',
      '03:05',
      { duty: 'finding', dueAt: wall('03:00'), reason: 'seen, small', until: wall('05:00') },
      { by: 'vet' },
    );
  const p = post('escalation', '03:00', {
    to: { user: 'vet' },
    about: { what: 'clinician' },
    asked: asked(log.state(), { finding: '03:00' }),
    lines: [log.id],
  });
  const m = await composed(p, testWard(), [log.state()], '03:06');
  expect(m.text).toContain('Finding seen by Dr Ada Holm, asked again 05:00: “seen, small”.');
  expect(m.text).not.toContain('let go');
});
it('a cold limb with a pulse is on handover and card', async () => {
  const log = new LineLog('20:00')
    .add('removed', '22:00', { reason: 'planned' })
    .add('pulseChecked', '23:00', { pulse: 'present', cold: true });
  const ward = testWard();
  const m = await handoverTexts([log], ward, wall('23:30'), { names, forMs: wall('23:30') });
  const c = await composed(post('card', '23:30', { lines: [log.id] }), ward, [log.state()]);
  expect(m.first).toMatch(/cold/);
  expect(m.patients).toMatch(/cold/);
  expect(c.text).toMatch(/cold/);
});
it('a line told out in error before a handover is named at its end', async () => {
  const a = new LineLog('20:00', { patient: { name: 'Mochi' } }, 'a');
  const b = new LineLog('20:00', { patient: { name: 'Biscuit' } }, 'b').add('removed', '06:00', {
    reason: 'death',
  });
  const forMs = wall('07:00');
  const before = await handoverTexts([a, b], testWard(), wall('06:45'), { names, forMs });
  expect(before.first).toContain('Taken out, nothing left to do: Biscuit (left dorsal pedal) 06:00, death.');
  const struck = new LineLog('20:00', { patient: { name: 'Biscuit' } }, 'b');
  const live = [a.state(), struck.state()];
  const after = await handoverTexts([a, b], testWard(), wall('06:45'), { names, forMs, live });
  expect(after.first).toContain('Back in, and missing from this handover: Biscuit (left dorsal pedal).');
});
it('a line taken out after the handover of its shift is named in the next one', async () => {
  const a = new LineLog('20:00', { patient: { name: 'Mochi' } }, 'a');
  const b = new LineLog('20:00', { patient: { name: 'Biscuit' } }, 'b').add('removed', '06:50', {
    reason: 'death',
  });
  const m = await handoverTexts([a, b], testWard(), wall('2026-11-25 18:45'), {
    names,
    forMs: wall('2026-11-25 19:00'),
  });
  expect(m.first).toContain('Taken out, nothing left to do: Biscuit (left dorsal pedal) 06:50, death.');
});
