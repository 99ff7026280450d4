import { describe, expect, it } from 'vitest';
import { defaultPolicy } from '../../../src/domain/policy/ward-policy.ts';
import { calledAgain, mayDecide, nurseOf, onCallAt } from '../../../src/domain/ward/on-call.ts';
import {
  type WardDraft,
  type WardEntry,
  type WardEntryKind,
  wardEntrySchema,
} from '../../../src/domain/ward/ward-entry.ts';
import { foldWard, foldWardNext, type WardState } from '../../../src/domain/ward/ward-state.ts';
import { LineLog, testWard, wall, wardZone } from '../../support/line-builder.ts';

type Body<K extends WardEntryKind> = (WardDraft & { kind: K })['body'];

function told<K extends WardEntryKind>(kind: K, at: string, body: Body<K>, by = 'nina'): WardEntry {
  return { at: wall(at), told: wall(at), by, via: 'command', kind, body } as unknown as WardEntry;
}

const wardWith = (rota: Record<string, string>, ...entries: WardEntry[]): WardState =>
  entries.reduce(foldWardNext, testWard({ rota }));

describe('onCallAt', () => {
  const rota = { day: 'dora', night: 'nils' };
  it.each<[string, WardState, string, string | null]>([
    ['is the rota’s for the shift that runs', wardWith(rota), '23:00', 'nils'],
    ['changes with the shift', wardWith(rota), '07:00', 'dora'],
    [
      'is whoever was put on call by hand in this shift',
      wardWith(rota, told('onCallSet', '20:00', { user: 'vera' })),
      '23:00',
      'vera',
    ],
    [
      'counts from the very start of the shift',
      wardWith(rota, told('onCallSet', '19:00', { user: 'vera' })),
      '19:00',
      'vera',
    ],
    [
      'is the rota’s again in the next shift',
      wardWith(rota, told('onCallSet', '20:00', { user: 'vera' })),
      '07:00',
      'dora',
    ],
    [
      'is the last by hand where the rota names nobody',
      wardWith({ day: 'dora' }, told('onCallSet', '18:59', { user: 'vera' })),
      '23:00',
      'vera',
    ],
    [
      'is the rota’s before the last by hand of an earlier shift',
      wardWith(rota, told('onCallSet', '18:59', { user: 'vera' })),
      '23:00',
      'nils',
    ],
    [
      'is the later of two by hand',
      wardWith(
        rota,
        told('onCallSet', '20:00', { user: 'vera' }),
        told('onCallSet', '21:00', { user: 'vito' }),
      ),
      '23:00',
      'vito',
    ],
    ['is nobody when nobody ever was', wardWith({}), '23:00', null],
  ])('%s', (_title, ward, now, expected) => {
    expect(onCallAt(ward, wall(now))).toBe(expected);
  });

  it('holds by hand through both hours that come twice in the night clocks go back', () => {
    const start = wall('2026-10-24 19:00');
    const ward = wardWith(rota, { ...told('onCallSet', '20:00', { user: 'vera' }), at: start + 60_000 });
    const answers = [7, 8, 12.9, 13].map((hours) => onCallAt(ward, start + hours * 3_600_000));
    expect(answers).toEqual(['vera', 'vera', 'vera', 'dora']);
  });
});

describe('mayDecide', () => {
  it('is for whoever is on call now and the clinicians of the policy', () => {
    const ward = testWard({ rota: { day: 'dora', night: 'nils' }, clinicians: ['cleo'] });
    const may = (user: string) => mayDecide(ward, user, wall('23:00'));
    expect(['nils', 'cleo', 'dora', 'nina'].map(may)).toEqual([true, true, false, false]);
  });
});

describe('nurseOf', () => {
  const night = wall('2026-11-26 20:00');
  const line = (assignedAt?: string) => {
    const log = new LineLog('18:00', { nurse: 'nina' });
    return assignedAt ? log.add('assigned', assignedAt, { nurse: 'noor' }).state() : log.state();
  };
  const posted = (at: string, forAt: string, auto = true) =>
    told('handedOver', at, { for: wall(forAt), auto, lines: 1 });
  const accepted = (at: string, forAt: string, by: string) =>
    told('handoverAccepted', at, { for: wall(forAt) }, by);

  it('is whoever placed the line until a handover is accepted', () => {
    expect(nurseOf(wardWith({}, posted('18:45', '19:00')), line(), night)).toBe('nina');
  });

  it('is whoever accepted the last handover', () => {
    expect(
      nurseOf(wardWith({}, posted('18:45', '19:00'), accepted('18:55', '19:00', 'nell')), line(), night),
    ).toBe('nell');
  });

  it('is whoever a line was given to after that', () => {
    const ward = wardWith({}, posted('18:45', '19:00'), accepted('18:55', '19:00', 'nell'));
    expect(nurseOf(ward, line('20:00'), night)).toBe('noor');
    expect(nurseOf(ward, line('18:30'), night)).toBe('nell');
  });

  it('is the first to accept, not the second', () => {
    const ward = wardWith(
      {},
      posted('18:45', '19:00'),
      accepted('18:55', '19:00', 'nell'),
      accepted('19:05', '19:00', 'nora'),
    );
    expect(nurseOf(ward, line(), night)).toBe('nell');
  });

  it('goes by when handovers were accepted, whichever was posted last', () => {
    const ward = wardWith(
      {},
      posted('18:45', '19:00'),
      posted('20:00', '20:00', false),
      accepted('20:05', '20:00', 'nora'),
      accepted('20:10', '19:00', 'nell'),
    );
    expect(nurseOf(ward, line(), night)).toBe('nell');
  });

  it('stays the one who accepted, however many handovers nobody accepts after', () => {
    const later = ['20:00', '21:00', '22:00', '23:00', '01:00', '02:00'].map((at) => posted(at, at, false));
    const ward = wardWith({}, posted('18:45', '19:00'), accepted('18:55', '19:00', 'nell'), ...later);
    expect(nurseOf(ward, line(), night)).toBe('nell');
    expect(ward.handovers.length).toBeLessThanOrEqual(7);
  });

  it('stays the one who accepted through three whole shifts whose handovers nobody accepts', () => {
    const later = ['2026-11-25 07:00', '2026-11-25 19:00', '2026-11-26 07:00', '2026-11-26 19:00'].map((at) =>
      posted(at, at),
    );
    const ward = wardWith({}, posted('18:45', '19:00'), accepted('18:55', '19:00', 'nell'), ...later);
    expect(nurseOf(ward, line(), night)).toBe('nell');
    expect(ward.handovers.map((handover) => handover.for)).toEqual(
      ['19:00', '2026-11-25 19:00', '2026-11-26 07:00', '2026-11-26 19:00'].map(wall),
    );
  });

  it('stays the one who accepted when the same handover is posted once more', () => {
    const ward = wardWith(
      {},
      posted('18:45', '19:00'),
      accepted('18:55', '19:00', 'nell'),
      posted('19:10', '19:00', false),
    );
    expect(nurseOf(ward, line(), night)).toBe('nell');
    expect(ward.handovers).toMatchObject([{ auto: true, postedAt: wall('19:10'), accepted: { by: 'nell' } }]);
  });
});

describe('foldWard', () => {
  it('counts policies and remembers who set the last, with all that was told before', () => {
    const policy = { ...defaultPolicy(wardZone), flushEveryMin: 120 };
    const log = [
      told('onCallSet', '20:00', { user: 'vera' }),
      told('policySet', '20:10', { policy }, 'cleo'),
      told('wasDown', '21:00', { from: 1, to: 2, missed: 0 }),
    ];
    const ward = foldWard('W', defaultPolicy(wardZone), log);
    expect(ward).toMatchObject({
      version: 3,
      policyVersion: 1,
      policySet: { by: 'cleo' },
      policy: { flushEveryMin: 120 },
      onCallSet: { user: 'vera' },
    });
  });

  it('reads its entries from outside strictly', () => {
    expect(wardEntrySchema.safeParse(told('onCallSet', '20:00', { user: 'vera' })).success).toBe(true);
    expect(
      wardEntrySchema.safeParse({ ...told('onCallSet', '20:00', { user: 'vera' }), at: 'soon' }).success,
    ).toBe(false);
    expect(
      wardEntrySchema.safeParse({ ...told('onCallSet', '20:00', { user: 'vera' }), kind: 'forgotten' })
        .success,
    ).toBe(false);
  });
});

describe('calledAgain', () => {
  const set = told('onCallSet', '2026-11-24 12:00', { user: 'vera' });
  const at = (ward: WardState, text: string) => calledAgain(ward, wall(text))?.user ?? null;

  it('is whoever was set by hand, for an hour of a shift that the rota leaves out after one that it doesn’t', () => {
    const ward = wardWith({ night: 'nils' }, set);
    expect(at(ward, '2026-11-25 06:59')).toBeNull();
    expect(at(ward, '2026-11-25 07:00')).toBe('vera');
    expect(at(ward, '2026-11-25 07:59')).toBe('vera');
    expect(at(ward, '2026-11-25 08:00')).toBeNull();
  });

  it('is nobody who was on call all along, or set for the shift itself, or called by the rota', () => {
    expect(at(wardWith({}, set), '2026-11-25 07:00')).toBeNull();
    expect(at(wardWith({ day: 'vera', night: 'nils' }, set), '2026-11-25 07:00')).toBeNull();
    const late = told('onCallSet', '2026-11-25 06:50', { user: 'vera' });
    expect(at(wardWith({ night: 'nils' }, late), '2026-11-25 07:00')).toBeNull();
    expect(at(wardWith({ night: 'nils' }), '2026-11-25 07:00')).toBeNull();
  });
});
