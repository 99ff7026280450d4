import { describe, expect, it } from 'vitest';
import { readTargetsForm, targetsForm } from '../../../src/chat/forms/targets-form.ts';
import { hour, LineLog, testWard, wall } from '../../support/line-builder.ts';
import { filledForm, hostileNames, inputIds, shown, withoutEmpty } from './filled-form.ts';

const wardId = 'T0TEST.C0WARD';
const { policy } = testWard();
const at = { now: wall('20:00'), zone: policy.shifts.zone };
const form = (log = new LineLog('19:00')) =>
  shown(targetsForm({ wardId, line: log.state(), policy, now: at.now }));
const held = () =>
  new LineLog('19:00').add('targetsSet', '19:30', {
    mapMmHg: { low: 80 },
    reason: 'head injury',
    until: wall('06:00'),
  });

describe('the form of targets', () => {
  it.each(hostileNames)('is one the platform shows for %s', (name) => {
    // filledForm throws where the platform would not show it.
    expect(inputIds(form(new LineLog('19:00', { patient: { name } })))).toContain('mapMmHg.low');
  });

  it('reads what was filled in, with the hours chosen or the time picked', () => {
    const filled = { 'mapMmHg.low': '80', 'sapMmHg.high': '160', reason: 'head injury', for: '12' };
    const told = { is: 'ok', wardId, lineId: 'line-1', reason: 'head injury' };
    expect(readTargetsForm(withoutEmpty(filledForm(form(), filled)), at)).toEqual({
      ...told,
      targets: { mapMmHg: { low: 80 }, sapMmHg: { high: 160 } },
      until: at.now + 12 * hour,
    });
    const until = Math.floor(wall('03:00') / 1000);
    expect(readTargetsForm(filledForm(form(), { ...filled, until: String(until) }), at)).toMatchObject({
      until: wall('03:00'),
    });
  });

  it('says beside the input what is wrong, and keeps what was typed', () => {
    const wrong = (raw: Record<string, string>) => readTargetsForm(filledForm(form(), raw), at);
    expect(wrong({ reason: 'head injury' })).toHaveProperty('errors', {
      'mapMmHg.low': expect.stringContaining('at least one'),
    });
    expect(wrong({ 'mapMmHg.low': '80', 'mapMmHg.high': '60', reason: 'ok then' })).toHaveProperty('errors', {
      'mapMmHg.high': 'The highest must be above the lowest, 80 mmHg.',
    });
    expect(wrong({ 'mapMmHg.low': '80' })).toHaveProperty('errors.reason');
    const late = String(Math.floor((at.now + 73 * hour) / 1000));
    expect(wrong({ 'mapMmHg.low': '80', reason: 'head injury', until: late })).toHaveProperty('errors.until');
  });

  it('of a line with targets shows them, and can end them', () => {
    expect(JSON.stringify(form(held()))).toContain('"initial_value":"80"');
    expect(readTargetsForm(filledForm(form(held()), { what: 'end' }), at)).toEqual({
      is: 'ended',
      wardId,
      lineId: 'line-1',
    });
    expect(inputIds(form())).not.toContain('what');
  });
});
