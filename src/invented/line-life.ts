import { hasSide, type Site } from '../domain/line/anatomy.ts';
import type { EntryOf, SiteFinding } from '../domain/record/entry.ts';
import type { FailureReason, RemovalReason } from '../domain/record/removal-reasons.ts';
import { hourMs } from '../domain/time.ts';
import type { Chance } from './chance.ts';
import { animalNames, type InventedSpecies, indications, inventedYear } from './invented-year.ts';

type Placed = EntryOf<'placed'>['body'];
type InventedSite = Exclude<
  Site,
  'dorsal metatarsal' | 'brachial' | 'median (front leg)' | 'cranial tibial' | 'facial' | 'transverse facial'
>;

/** What is going to happen to an invented line, before anybody knows. Times are ms since placing. */
export interface LineLife {
  placed: Omit<Placed, 'nurse' | 'operator' | 'tries'>;
  /** When and why it comes out, if nobody takes it out before. */
  outAfterMs: number;
  reason: RemovalReason;
  /** When ooze can first be seen at the site; null: never while it is in. */
  oozeAfterMs: number | null;
  tipWhole: boolean;
}

/** Draws an animal, its line and the line's fate. `taken`: names of animals that have a line now. */
export function drawnLife(chance: Chance, taken: ReadonlySet<string>): LineLife {
  const species = chance.weighted(inventedYear.species);
  const { placed } = drawnPlacing(chance, species, taken);
  const { scaleH, shape } = inventedYear.failure[species];
  const failsAfterMs = chance.weibull(scaleH, shape) * hourMs;
  const end = drawnEnd(chance, species);
  const fails = failsAfterMs < end.afterMs;
  const oozeAfterMs = chance.exponential((100 / inventedYear.oozePer100LineDays) * 24 * hourMs);
  const outAfterMs = Math.round(fails ? failsAfterMs : end.afterMs);
  return {
    placed,
    outAfterMs,
    reason: fails
      ? chance.weighted<FailureReason & keyof typeof inventedYear.failureReasons>(inventedYear.failureReasons)
      : end.reason,
    oozeAfterMs: oozeAfterMs < outAfterMs ? Math.round(oozeAfterMs) : null,
    tipWhole: chance.happens(0.99),
  };
}

function drawnPlacing(
  chance: Chance,
  species: InventedSpecies,
  taken: ReadonlySet<string>,
): Pick<LineLife, 'placed'> {
  const free = animalNames[species].filter((name) => !taken.has(name));
  const [first, ...others] = free;
  const name =
    first === undefined
      ? `${chance.pick(animalNames[species])} ${taken.size + 1}`
      : chance.pick([first, ...others]);
  const weightKg = {
    dog: () => chance.around(22, 1.8),
    cat: () => chance.around(4.3, 1.25),
    rabbit: () => chance.around(3, 1.5),
  };
  const site = chance.weighted<InventedSite>(
    species === 'cat'
      ? { 'dorsal pedal': 45, 'median caudal': 40, radial: 5, femoral: 10, auricular: 0, lingual: 0 }
      : { 'dorsal pedal': 65, 'median caudal': 5, radial: 12, femoral: 6, auricular: 10, lingual: 2 },
  );
  const isManual = chance.happens(species === 'cat' ? 0.4 : 0.6);
  const cautions: NonNullable<Placed['screening']>['cautions'] = [
    ...(species === 'cat' ? (['cat'] as const) : []),
    ...(chance.happens(0.1) ? (['clotting unknown'] as const) : []),
    ...(chance.happens(0.05) ? (['walking patient'] as const) : []),
  ];
  return {
    placed: {
      patient: {
        name,
        species,
        weightKg: Math.round(Math.min(Math.max(weightKg[species](), 0.5), 90) * 10) / 10,
        ...(chance.happens(0.06) ? { bleeding: true } : {}),
      },
      site,
      ...(hasSide(site) ? { side: chance.pick(['left', 'right']) } : {}),
      gauge: species === 'dog' ? chance.pick([20, 20, 22]) : chance.pick([22, 24]),
      flushMode: isManual ? 'manual' : 'continuous',
      ...(isManual ? {} : { source: drawnSource(chance, species) }),
      indication: chance.pick(indications),
      ...(chance.happens(0.85) ? { screening: { cautions } } : {}),
    },
  };
}

/** A full source: a bag for the large, a syringe for the small. */
export function drawnSource(
  chance: Chance,
  species: Placed['patient']['species'],
): NonNullable<Placed['source']> {
  return species === 'dog'
    ? {
        kind: 'pressure bag',
        volumeMl: chance.pick([250, 500]),
        rateMlPerH: 3,
        pressureMmHg: 300,
        heparinUPerMl: 1,
      }
    : { kind: 'syringe', volumeMl: 50, rateMlPerH: chance.pick([1, 1.5, 2]), heparinUPerMl: 1 };
}

/** How a line ends that does not fail: most are taken out when they are no longer needed, a cat's by its limit. */
function drawnEnd(chance: Chance, species: InventedSpecies): { afterMs: number; reason: RemovalReason } {
  const hours = {
    dog: () => chance.around(28, 1.9),
    cat: () => (chance.happens(0.85) ? chance.between(2.5, 7.9) : chance.between(8.2, 20)),
    rabbit: () => chance.around(14, 1.8),
  };
  const afterMs = Math.min(Math.max(hours[species](), 1.5), 200) * hourMs;
  const isAtLimit = species === 'cat' && afterMs > 7.2 * hourMs && afterMs < 8 * hourMs;
  const reason = chance.weighted<'planned' | 'death' | 'transfer'>({ planned: 84, death: 10, transfer: 6 });
  return { afterMs, reason: isAtLimit ? 'dwell limit' : reason };
}

/** What is seen at the site when a line comes out for a reason. */
export function findingOf(reason: RemovalReason, oozes: boolean): SiteFinding {
  return {
    ...(oozes ? { ooze: true } : {}),
    ...(reason === 'swelling' ? { swelling: true } : {}),
    ...(reason === 'pulse or limb change' ? { cold: true } : {}),
  };
}
