import type { Species } from '../patient/species.ts';

/** What an owner is told of: what may happen to a line, and whether it can be placed. */
export type RiskKind =
  | 'problem'
  | 'removed for a problem'
  | 'serious harm'
  | 'no pulse next day'
  | 'placed at the first try'
  | 'placed at all';

/** A published series, by which whoever wants to can look it up. */
export interface Publication {
  doi: '10.1111/vec.12543' | '10.1111/vec.13084' | '10.1177/1098612X18767570' | '10.1177/1098612X241257857';
}

/** A count of lines in a published series; `notTold`: those of the series of which nobody recorded it, in no share. */
export interface PublishedCount {
  kind: RiskKind;
  count: number;
  total: number;
  notReported?: number;
  publication: Publication;
}

const trim2017: Publication = { doi: '10.1111/vec.12543' };
const hagley2021: Publication = { doi: '10.1111/vec.13084' };
const mooshian2019: Publication = { doi: '10.1177/1098612X18767570' };
const felineTrial2024: Publication = { doi: '10.1177/1098612X241257857' };

/**
 * What is published of how often lines go wrong, of lines and not of animals. Abstracts read. Of animals other than dogs and cats we know of none. Of two series in cats the larger
 * one speaks for minor complications: 9 of 38 (Mooshian) and not 5 of 29 (Hagley). Counts that were printed as percentages
 * alone are the only whole numbers that give them: 38 of 198 is 19.2 %, 9 of 38 is 23.7 %, 1 of 38 is 2.63 %.
 *
 * - Trim: of 112 catheters looked at on the next day a pulse was reported of 94, absent in 21 and present in 73; the other 18 are in
 *   no share. Nearly all were dogs, and the same figure stands for both species: of cats alone there is none.
 * - The trial on cats: dorsal pedal arteries, 52 limbs; success at all, not at the first try.
 */
export const publishedCounts: Readonly<Partial<Record<Species, readonly PublishedCount[]>>> = {
  dog: [
    { kind: 'problem', count: 38, total: 198, publication: hagley2021 },
    { kind: 'removed for a problem', count: 13, total: 198, publication: hagley2021 },
    { kind: 'no pulse next day', count: 21, total: 94, notReported: 18, publication: trim2017 },
  ],
  cat: [
    { kind: 'problem', count: 9, total: 38, publication: mooshian2019 },
    { kind: 'removed for a problem', count: 2, total: 29, publication: hagley2021 },
    { kind: 'no pulse next day', count: 21, total: 94, notReported: 18, publication: trim2017 },
    { kind: 'serious harm', count: 1, total: 38, publication: mooshian2019 },
    { kind: 'placed at all', count: 9, total: 52, publication: felineTrial2024 },
  ],
};
