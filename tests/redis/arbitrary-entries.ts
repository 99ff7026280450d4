import { dutyKinds } from '../../src/domain/duty-kind.ts';
import { faultSigns } from '../../src/domain/fault/fault-questions.ts';
import { gauges, sides, sites } from '../../src/domain/line/anatomy.ts';
import { longestSpeciesName, speciesList } from '../../src/domain/patient/species.ts';
import { failures, mostTries } from '../../src/domain/placing/failed-tries.ts';
import { cautions } from '../../src/domain/placing/screening.ts';
import { defaultPolicy } from '../../src/domain/policy/ward-policy.ts';
import {
  type DraftOf,
  type Entry,
  type EntryHead,
  type EntryKind,
  surfaces,
  testVerdicts,
} from '../../src/domain/record/entry.ts';
import { removalReasons } from '../../src/domain/record/removal-reasons.ts';
import { awayPlaces } from '../../src/domain/record/spells.ts';
import { shutReasons } from '../../src/domain/ward/channel.ts';
import type { WardDraft, WardEntry, WardEntryKind } from '../../src/domain/ward/ward-entry.ts';
import * as fc from '../support/properties.ts';

const instant = fc.integer({ min: 0, max: 4_102_444_800_000 });
const user = fc.string({ unit: 'binary', minLength: 1, maxLength: 40 }).filter((text) => text.length <= 40);
const words = (min = 0) => fc.string({ unit: 'grapheme', minLength: min, maxLength: 30 });
/** Numbers as people and forms give them; JSON knows no negative nought. */
const number = (min: number, max: number) => fc.double({ min, max, noNaN: true }).map((value) => value + 0);
const pairs = fc.array(fc.tuple(fc.constantFrom(...dutyKinds), instant), { minLength: 1, maxLength: 4 });

/** An object of these values in which each of `free` may be missing. */
function body<T, K extends keyof T>(model: { [P in keyof T]: fc.Arbitrary<T[P]> }, free: K[] = []) {
  const required = (Object.keys(model) as (keyof T)[]).filter((key) => !free.includes(key as K));
  return fc.record(model, { requiredKeys: required, noNullPrototype: true });
}

/** Targets of one pressure, mmHg: the low one below the high one. */
const span = body({ low: number(20, 100), high: number(101, 250) }, ['low', 'high']);

const finding = body(
  {
    swelling: fc.boolean(),
    pain: fc.boolean(),
    ooze: fc.boolean(),
    cold: fc.boolean(),
    noPulse: fc.boolean(),
    soiled: fc.boolean(),
  },
  ['swelling', 'pain', 'ooze', 'cold', 'noPulse', 'soiled'],
);
const source = body(
  {
    kind: fc.constantFrom('pressure bag', 'syringe'),
    volumeMl: number(0.1, 3_000),
    rateMlPerH: number(0.1, 50),
    pressureMmHg: number(0, 400),
  },
  ['volumeMl', 'rateMlPerH', 'pressureMmHg'],
);
const patient = body(
  {
    name: words(1).filter((text) => text.length <= 40),
    species: fc.constantFrom(...speciesList),
    speciesName: words(1).filter((text) => text.length <= longestSpeciesName),
    weightKg: number(0.3, 1200),
    bleeding: fc.boolean(),
  },
  ['bleeding', 'speciesName'],
);
const mode = fc.constantFrom('manual', 'continuous');
const pulse = fc.constantFrom('present', 'weak', 'absent', 'cannot tell');

/** Bodies of every kind of entry. A new kind does not compile until it is here. */
const bodies: { [K in EntryKind]: fc.Arbitrary<unknown> } = {
  placed: body(
    {
      patient,
      site: fc.constantFrom(...sites),
      side: fc.constantFrom(...sides),
      gauge: fc.constantFrom(...gauges),
      transducer: fc.boolean(),
      flushMode: mode,
      source,
      indication: words(),
      nurse: user,
      operator: user,
      tries: fc.integer({ min: 1, max: mostTries }),
      screening: body(
        {
          cautions: fc.uniqueArray(fc.constantFrom(...cautions)),
          override: body({ clinician: user, at: instant, reason: words(3) }),
        },
        ['override'],
      ),
    },
    ['side', 'transducer', 'source', 'indication', 'operator', 'tries', 'screening'],
  ),
  zeroed: body({ openToAirMmHg: number(-300, 300) }, ['openToAirMmHg']),
  levelled: body({ belowHeartCm: number(-100, 100) }, ['belowHeartCm']),
  fastFlushTested: body({ verdict: fc.constantFrom(...testVerdicts) }),
  flushed: body({ volumeMl: number(0.1, 20) }, ['volumeMl']),
  flushModeChanged: body({ mode, source }, ['source']),
  sourceChanged: body({ source, newSet: fc.boolean() }),
  sourceChecked: body({ pressureMmHg: number(0, 400), volumeLeftMl: number(0, 3_000) }, [
    'pressureMmHg',
    'volumeLeftMl',
  ]),
  redressed: body({ finding }, ['finding']),
  siteChecked: body({ finding, note: words() }, ['note']),
  sampled: body(
    {
      volumeMl: number(0.1, 60),
      discardMl: number(0, 20),
      discardReturned: fc.boolean(),
      flushed: fc.boolean(),
    },
    ['discardMl', 'discardReturned', 'flushed'],
  ),
  reading: body({ sapMmHg: number(0, 400), dapMmHg: number(0, 400), mapMmHg: number(0, 400) }, ['mapMmHg']),
  transducerJoined: body({ newSet: fc.boolean(), flushMode: mode, source }, ['source']),
  capped: body({ flushed: fc.boolean() }),
  leftWard: body({ to: fc.constantFrom(...awayPlaces), with: user }, ['with']),
  arrived: body({ with: user }, ['with']),
  returned: body({ with: user }, ['with']),
  disturbed: body({ how: fc.constantFrom('disconnected', 'moved', 'repositioned') }),
  faultOpened: body({ sign: fc.constantFrom(...faultSigns) }),
  faultStep: body({ step: words(), answer: words() }),
  faultClosed: body({ resolved: fc.boolean(), sign: fc.constantFrom(...faultSigns), byPath: fc.boolean() }, [
    'sign',
    'byPath',
  ]),
  assigned: body({ nurse: user, from: instant }, ['from']),
  claimed: body({ duties: pairs, until: instant }),
  snoozed: body({ duties: pairs, until: instant }),
  waived: body({ duty: fc.constantFrom(...dutyKinds), dueAt: instant, reason: words(3), until: instant }),
  targetsSet: body({ sapMmHg: span, dapMmHg: span, mapMmHg: span, reason: words(3), until: instant }, [
    'sapMmHg',
    'dapMmHg',
    'mapMmHg',
  ]),
  targetsEnded: fc.constant({}),
  amended: body(
    {
      target: fc.integer({ min: 1, max: 500 }),
      at: instant,
      strike: words(3),
      body: fc.dictionary(words(), fc.oneof(words(), number(0, 100), fc.boolean()), {
        maxKeys: 3,
        noNullPrototype: true,
      }),
    },
    ['at', 'strike', 'body'],
  ),
  noted: body({ text: words(), cannot: fc.tuple(fc.constantFrom(...dutyKinds), instant) }, ['cannot']),
  removed: body(
    { reason: fc.constantFrom(...removalReasons), tipWhole: fc.boolean(), pieceFound: fc.boolean(), finding },
    ['pieceFound', 'tipWhole', 'finding'],
  ),
  pulseChecked: body({ pulse, cold: fc.boolean() }, ['cold']),
  holdEnded: body({ oozing: fc.boolean() }),
  nudged: body({ duties: pairs }),
  escalated: body({ duties: pairs, to: fc.constantFrom('nurse', 'clinician'), user }, ['user']),
};

const wardBodies: { [K in WardEntryKind]: fc.Arbitrary<unknown> } = {
  policySet: body({
    policy: body({
      ...(Object.fromEntries(
        Object.entries(defaultPolicy('Europe/Berlin')).map(([key, value]) => [key, fc.constant(value)]),
      ) as {
        [K in keyof ReturnType<typeof defaultPolicy>]: fc.Arbitrary<ReturnType<typeof defaultPolicy>[K]>;
      }),
      flushEveryMin: fc.integer({ min: 15, max: 360 }),
      clinicians: fc.array(user, { maxLength: 3 }),
    }),
  }),
  onCallSet: body({ user }),
  handedOver: body({ for: instant, auto: fc.boolean(), lines: fc.nat(400) }),
  handoverAccepted: body({ for: instant }),
  handoverNudged: body({ for: instant }),
  wasDown: body({ from: instant, to: instant, missed: fc.nat(1_000) }),
  commandsLost: body({ from: instant }),
  commandsBack: body({ from: instant, to: instant }),
  triesFailed: body(
    {
      patient: body({
        name: words(1).filter((text) => text.length <= 40),
        species: fc.constantFrom(...speciesList),
      }),
      site: fc.constantFrom(...sites),
      side: fc.constantFrom(...sides),
      gauge: fc.constantFrom(...gauges),
      operator: user,
      tries: fc.integer({ min: 1, max: mostTries }),
      why: fc.constantFrom(...failures),
      animal: fc.constantFrom('line-1', 'a7'),
    },
    ['side', 'gauge', 'why', 'animal'],
  ),
  triesStruck: body({ target: fc.integer({ min: 1, max: 500 }) }),
  coverSet: body({ away: user, by: user, from: instant, until: instant }, ['from']),
  coverTold: body({ target: fc.integer({ min: 1, max: 500 }), what: fc.constantFrom('begun', 'over') }),
  takenBack: body({ target: fc.integer({ min: 1, max: 500 }) }),
  audited: body({ from: instant, to: instant }),
  channelShut: body({ why: fc.constantFrom(...shutReasons) }),
  channelOpened: body({}),
  channelTold: body({ user }),
  unreached: body({ user }),
};

const head: fc.Arbitrary<EntryHead> = fc.record(
  { at: instant, told: instant, by: user, via: fc.constantFrom(...surfaces) },
  { noNullPrototype: true },
);

/** Any entry of this kind. */
export function entryOf<K extends EntryKind>(kind: K): fc.Arbitrary<Entry> {
  const draft = bodies[kind].map((value) => ({ kind, body: value }) as DraftOf<K>);
  return fc.tuple(head, draft).map(([when, told]) => ({ ...when, ...told }) as Entry);
}

/** Any ward entry of this kind. */
export function wardEntryOf(kind: WardEntryKind): fc.Arbitrary<WardEntry> {
  const draft = wardBodies[kind].map((value) => ({ kind, body: value }) as WardDraft);
  return fc.tuple(head, draft).map(([when, told]) => ({ ...when, ...told }) as WardEntry);
}
