import { describe, expect, it } from 'vitest';
import { mayNameLead } from '../../../src/domain/ward/ward-lead.ts';
import { testWard, wall } from '../../support/line-builder.ts';

const now = wall('20:00');
const may = (user: string, changes: Parameters<typeof testWard>[0]) =>
  mayNameLead(testWard(changes), user, now);

describe('mayNameLead', () => {
  it.each([
    ['anybody where nobody decides yet', 'nina', { rota: {} }, true],
    ['not anybody where somebody is on call', 'nina', {}, false],
    ['not anybody where a clinician is named', 'nina', { rota: {}, clinicians: ['una'] }, false],
    ['not anybody where somebody leads', 'nina', { rota: {}, lead: 'una' }, false],
    ['whoever leads', 'una', { lead: 'una' }, true],
    ['whoever is on call', 'vet', { lead: 'una' }, true],
    ['a clinician of the policy', 'ulla', { lead: 'una', clinicians: ['ulla'] }, true],
  ])('is %s', (_who, user, changes, expected) => {
    expect(may(user, changes)).toBe(expected);
  });
});
