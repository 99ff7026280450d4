import { describe, expect, it } from 'vitest';
import { speciesList } from '../../../src/domain/patient/species.ts';
import { ownerRisks } from '../../../src/domain/risks/owner-risks.ts';
import { publishedCounts } from '../../../src/domain/risks/published-series.ts';
import { exactEnds, scoreEnds } from './exact-ends.ts';

// Per catheter, from the abstracts (read). Hagley, Hopper, Epstein, J Vet Emerg Crit Care 2021;31:469-475: minor complications
// in 19.2 % of 198 catheters in dogs; removed for complications 13 of 198 (6.6 %) and 2 of 29 (6.9 %) in cats. Mooshian et al.,
// J Feline Med Surg 2019;21:173-177: 38 catheters in 35 cats, 23.7 % minor, 2.63 % major. Trim et al., J Vet Emerg Crit Care
// 2017;27:89-95: 21 of 94 (22.3 %) without a pulse, 112 looked at. Trial on cats, J Feline Med Surg 2024: 9 of 52 (17 %).
const printed = [
  ['dog', 'problem', 38, 198, '19.2', '10.1111/vec.13084', [14.3, 25.2], [14.0, 25.4]],
  ['dog', 'removed for a problem', 13, 198, '6.6', '10.1111/vec.13084', [3.9, 10.9], [3.5, 11.0]],
  ['dog', 'no pulse next day', 21, 94, '22.3', '10.1111/vec.12543', [15.1, 31.8], [14.4, 32.1]],
  ['cat', 'problem', 9, 38, '23.7', '10.1177/1098612X18767570', [13.0, 39.2], [11.4, 40.2]],
  ['cat', 'removed for a problem', 2, 29, '6.9', '10.1111/vec.13084', [1.9, 22.0], [0.8, 22.8]],
  ['cat', 'no pulse next day', 21, 94, '22.3', '10.1111/vec.12543', [15.1, 31.8], [14.4, 32.1]],
  ['cat', 'serious harm', 1, 38, '2.63', '10.1177/1098612X18767570', [0.5, 13.5], [0.07, 13.8]],
  ['cat', 'placed at all', 9, 52, '17', '10.1177/1098612X241257857', [9.4, 29.7], [8.2, 30.3]],
] as const;
const hundred = (ends: readonly number[]) => ends.map((end) => 100 * end);

describe('what is published of lines', () => {
  it('is these rows and no other', () => {
    const rows = speciesList.flatMap((species) =>
      (publishedCounts[species] ?? []).map(({ kind }) => `${species} ${kind}`),
    );
    expect(rows).toEqual(printed.map(([species, kind]) => `${species} ${kind}`));
  });

  it.each(printed)('of a %s, %s: %i of %i, printed as %s %%', (species, kind, count, total, percent, doi) => {
    const risk = ownerRisks(species, null).find((one) => one.kind === kind)!;
    expect(risk.share).toMatchObject({ count, total });
    expect((100 * risk.share.share!).toFixed(percent.split('.')[1]?.length ?? 0)).toBe(percent);
    expect(risk.from).toMatchObject({ doi });
  });

  // Recomputed by the definitions of both intervals (exact-ends.ts); the ends in the table were computed apart, to a tenth.
  it.each(printed)('of a %s, %s: has the intervals recomputed', (...row) => {
    const [species, kind, count, total, , , score, exact] = row;
    const { share } = ownerRisks(species, null).find((one) => one.kind === kind)!;
    const own = {
      score: hundred([share.score!.lower, share.score!.upper]),
      exact: hundred([share.exact!.lower, share.exact!.upper]),
    };
    for (const end of [0, 1]) {
      expect(own.score[end]).toBeCloseTo(hundred(scoreEnds(count, total))[end]!, 3);
      expect(own.exact[end]).toBeCloseTo(hundred(exactEnds(count, total))[end]!, 3);
      expect(Math.abs(own.score[end]! - score[end]!)).toBeLessThan(0.06);
      expect(Math.abs(own.exact[end]! - exact[end]!)).toBeLessThan(0.06);
    }
  });

  it('has the 18 catheters of which no pulse was told apart from the 94: 21 of 112 would be too few', () => {
    for (const species of ['dog', 'cat'] as const) {
      const pulse = ownerRisks(species, null).find(({ kind }) => kind === 'no pulse next day')!;
      expect([pulse.share.total, pulse.notReported, pulse.share.total + pulse.notReported]).toEqual([
        94, 18, 112,
      ]);
    }
  });

  it('has no number of serious harm or of placing in dogs, and none of either series twice', () => {
    expect(publishedCounts.dog?.map(({ kind }) => kind)).not.toContain('serious harm');
    expect(publishedCounts.dog?.map(({ kind }) => kind)).not.toContain('placed at all');
    for (const rows of Object.values(publishedCounts))
      expect(new Set(rows.map(({ kind }) => kind)).size).toBe(rows.length);
  });
});
