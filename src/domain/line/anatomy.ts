/**
 * Arteries a line is placed in. Order: commonest in dogs and cats first, then those of large animals. A line keeps the name
 * it was recorded by: the dorsal metatarsal is the dorsal pedal further down in dogs and cats, and the great metatarsal on the
 * outside of the cannon bone in horses (from memory). The median of the front leg says so, or it would be taken for the tail's.
 */
export const sites = [
  'dorsal pedal',
  'dorsal metatarsal',
  'median caudal',
  'radial',
  'femoral',
  'auricular',
  'lingual',
  'brachial',
  'median (front leg)',
  'cranial tibial',
  'facial',
  'transverse facial',
] as const;
/** An artery that a line lies in. */
export type Site = (typeof sites)[number];

/** The animal’s own left and right. */
export const sides = ['left', 'right'] as const;
/** The animal’s own left or right. */
export type Side = (typeof sides)[number];

/** Catheter gauges in use (G); a larger number is a thinner catheter. */
export const gauges = [18, 20, 22, 24, 26] as const;
/** A gauge in use (G). */
export type Gauge = (typeof gauges)[number];

/** The tail and the tongue lie in the middle: their lines have no side. */
export function hasSide(site: Site): boolean {
  return site !== 'median caudal' && site !== 'lingual';
}

/** The limb an artery is in; null for tail, ear, tongue and face. */
export function limbOf(site: Site): 'front' | 'hind' | null {
  switch (site) {
    case 'dorsal pedal':
    case 'dorsal metatarsal':
    case 'cranial tibial':
    case 'femoral':
      return 'hind';
    case 'radial':
    case 'brachial':
    case 'median (front leg)':
      return 'front';
    case 'median caudal':
    case 'auricular':
    case 'lingual':
    case 'facial':
    case 'transverse facial':
      return null;
  }
}
