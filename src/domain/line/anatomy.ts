/** Arteries a line is placed in. Order: commonest in dogs and cats first. */
export const sites = ['dorsal pedal', 'median caudal', 'radial', 'femoral', 'auricular', 'lingual'] as const;
export type Site = (typeof sites)[number];

export const sides = ['left', 'right'] as const;
export type Side = (typeof sides)[number];

/** Catheter gauges in use (G); a larger number is a thinner catheter. */
export const gauges = [18, 20, 22, 24, 26] as const;
export type Gauge = (typeof gauges)[number];

/** The tail and the tongue lie in the middle: their lines have no side. */
export function hasSide(site: Site): boolean {
  return site !== 'median caudal' && site !== 'lingual';
}

/** What lies below the catheter and must stay warm with a pulse: named in site and pulse checks. */
export function partBelow(site: Site): string {
  switch (site) {
    case 'dorsal pedal':
      return 'hind foot';
    case 'radial':
      return 'front foot';
    case 'femoral':
      return 'hind leg';
    case 'median caudal':
      return 'tail';
    case 'auricular':
      return 'ear';
    case 'lingual':
      return 'tongue';
  }
}
