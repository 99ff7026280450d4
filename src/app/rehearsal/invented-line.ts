import { type WardPolicy, wardPolicySchema } from '../../domain/policy/ward-policy.ts';
import type { DraftOf, Entry, EntryKind } from '../../domain/record/entry.ts';
import { minuteMs } from '../../domain/time.ts';
import { newWard, type WardState } from '../../domain/ward/ward-state.ts';

/** The ward of every practice. No workspace has this name, so what is meant for it can reach no real ward. */
export const practiceWardId = 'practise.pebble';
/** The invented line, its animal, and the clinician who is on call for it. */
export const inventedLineId = 'pebble';
/** What the invented patient is called. */
export const inventedName = 'Pebble';
/** The user id of the invented clinician, whom no platform knows. */
export const inventedClinician = 'invented-clinician';
/** What a line registered in practice is called. */
export const practisedLineId = 'pebble2';

/**
 * How the invented line stands: in and flushed by hand; the same, not zeroed and tested since a fault; in and flushed
 * continuously; out for an hour; or there is none yet.
 */
export const inventedKinds = ['by hand', 'not zeroed', 'continuous', 'out', 'none'] as const;
/** How an invented line stands. */
export type InventedKind = (typeof inventedKinds)[number];

/**
 * The log of the invented line as of `at` (ms), recorded by `nurse`: a dog of 12 kg whose line has been in for most of half a
 * day, a flat trace behind it. Most of its duties are due about now, so that whatever is practised clears something.
 */
export function inventedLog(kind: InventedKind, at: number, nurse: string): Entry[] {
  const entry = <K extends EntryKind>(what: K, minutesAgo: number, body: DraftOf<K>['body']): Entry => {
    const happened = Math.floor(at / minuteMs) * minuteMs - minutesAgo * minuteMs;
    return { kind: what, body, at: happened, told: happened, by: nurse, via: 'button' } as Entry;
  };
  if (kind === 'none') return [];
  return [
    entry('placed', 710, {
      patient: { name: inventedName, species: 'dog', weightKg: 12 },
      site: 'dorsal pedal',
      side: 'left',
      gauge: 22,
      indication: 'septic abdomen',
      nurse,
      ...(kind === 'continuous'
        ? {
            flushMode: 'continuous',
            source: { kind: 'pressure bag', volumeMl: 40, rateMlPerH: 3, pressureMmHg: 300 },
          }
        : { flushMode: 'manual' }),
    }),
    entry('levelled', 700, {}),
    entry('zeroed', 700, {}),
    entry('fastFlushTested', 698, { verdict: 'normal' }),
    entry('siteChecked', 235, { finding: {} }),
    entry('faultOpened', 150, { sign: 'flat' }),
    entry('faultClosed', 140, { resolved: true, sign: 'flat' }),
    ...(kind === 'not zeroed'
      ? []
      : [
          entry('levelled', 130, {}),
          entry('zeroed', 130, {}),
          entry('fastFlushTested', 129, { verdict: 'normal' }),
        ]),
    entry('reading', 120, { sapMmHg: 118, dapMmHg: 64, mapMmHg: 82, heartRatePerMin: 120 }),
    ...(kind === 'by hand' || kind === 'not zeroed' ? [entry('flushed', 58, { volumeMl: 1 })] : []),
    ...(kind === 'out'
      ? [
          entry('removed', 65, { reason: 'planned', tipWhole: true }),
          entry('holdEnded', 58, { oozing: false }),
        ]
      : []),
  ];
}

/** Most clinicians that a policy names. */
const mostClinicians = 50;

/**
 * A ward of its own with the policy that the real one has, and an invented clinician on call, so that nobody real is said
 * to be told. Whoever may decide on the real ward may be named here: `deciding`, and those of its policy.
 */
export function inventedWard(policy: WardPolicy, at: number, deciding: readonly string[] = []): WardState {
  const clinicians = [...new Set([...deciding, ...policy.clinicians, ...Object.values(policy.rota)])];
  const ownPolicy = wardPolicySchema.parse({
    ...policy,
    clinicians: clinicians.slice(0, mostClinicians),
    rota: {},
  });
  return {
    ...newWard(practiceWardId, ownPolicy),
    onCallSet: { user: inventedClinician, at, by: inventedClinician },
  };
}
