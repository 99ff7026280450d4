import type { Site } from '../line/anatomy.ts';
import type { Patient } from '../patient/patient.ts';
import type { Species } from '../patient/species.ts';
import type { WardPolicy } from './ward-policy.ts';

interface Whose {
  patient: Pick<Patient, 'species'>;
  site: Site;
}

/**
 * Hours from one site and limb check to the next. In cats, and in tail and ear, little else feeds the part below the
 * catheter, so it is looked at more often, and never less often than in others: common practice, no source; that collateral
 * vessels are poor in cats: van den Herik & Gommeren, feline emergency text.
 */
export function siteCheckHours({ patient, site }: Whose, policy: WardPolicy): number {
  const isClose = patient.species === 'cat' || site === 'median caudal' || site === 'auricular';
  return isClose ? Math.min(policy.siteCheckEveryH, policy.siteCheckCloseEveryH) : policy.siteCheckEveryH;
}

/** Animals asked after sooner, as a cat is by its limit. Common practice, from memory: small arteries, thin skin. */
const askedSooner: ReadonlySet<Species> = new Set<Species>(['rabbit', 'ferret']);

/**
 * Hours from one "still needed?" to the next, in an animal that has no dwell limit. An ear line is asked after sooner in any
 * animal: a rabbit's ear may lose its edge behind a catheter. Common practice, from memory, no source.
 */
export function stillNeededHours({ patient, site }: Whose, policy: WardPolicy): number {
  const isSoon = site === 'auricular' || askedSooner.has(patient.species);
  return isSoon ? Math.min(policy.stillNeededEveryH, policy.stillNeededSoonEveryH) : policy.stillNeededEveryH;
}
