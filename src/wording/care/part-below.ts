import type { Site } from '../../domain/line/anatomy.ts';

/** What lies below the catheter and must stay warm with a pulse: named in site and pulse checks. */
export function partBelow(site: Site): string {
  switch (site) {
    case 'dorsal pedal':
    case 'dorsal metatarsal':
    case 'cranial tibial':
      return 'hind foot';
    case 'radial':
    case 'median (front leg)':
      return 'front foot';
    case 'brachial':
      return 'front leg';
    case 'facial':
    case 'transverse facial':
      return 'face';
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
