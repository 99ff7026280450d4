import { extractText, getDocumentProxy } from 'unpdf';
import { describe, expect, it } from 'vitest';
import { wardSheetPdf } from '../../src/paper/ward-sheet.ts';
import { handoverSheet } from '../../src/wording/handover/handover-sheet.ts';
import { names } from '../chat/messages/compose-for-test.ts';
import { handoverOf } from '../support/handed-over.ts';
import { testWard, wall } from '../support/line-builder.ts';
import { nastyWard } from '../support/nasty-ward.ts';

const now = wall('18:45');

/** The sheet of so many lines as Mozilla’s pdf.js reads it, which knows nothing of how it was written. */
async function read(count: number) {
  const handover = handoverOf(nastyWard(count), testWard(), now);
  const sheet = await handoverSheet(handover, names);
  const pdf = await getDocumentProxy((await wardSheetPdf(sheet, now)).slice());
  const { text, totalPages } = await extractText(pdf, { mergePages: true });
  return { handover, sheet, pdf, totalPages, words: text.replaceAll(/\s+/g, ' ') };
}

describe('a ward on paper', () => {
  it.each([
    [12, 1],
    [40, 2],
  ])('of %i lines takes %i A4 pages, with all of Watch and a row for each line', async (count, pages) => {
    const { totalPages, words, sheet, handover, pdf } = await read(count);
    expect(totalPages).toBe(pages);
    const { width, height } = (await pdf.getPage(1)).getViewport({ scale: 1 });
    // ISO 216: A4 is 210 by 297 mm; 72 points to the inch of 25.4 mm.
    expect([width, height].map((points) => Math.round((points * 25.4) / 72))).toEqual([210, 297]);
    expect(words).toContain('On call at 19:00: Dr Ada Holm');
    for (const { name } of sheet.watch) expect(words).toContain(`${name}:`);
    for (const { line } of [...handover.watch, ...handover.stable])
      expect(words.split(line.patient.name).length).toBeGreaterThan(1);
    expect(sheet.grid.rows).toHaveLength(count);
    for (const clock of sheet.grid.visits) expect(words).toContain(clock);
  });

  it('says of each visit by letters what is to be done with each line, and nothing where nothing is', async () => {
    const { handover, sheet, words } = await read(12);
    const { visits, watch, stable } = handover;
    const lines = [...watch, ...stable].map(({ line }) => line);
    expect(sheet.grid.key).toContain('F flush · Z zero · T test');
    visits.forEach(({ duties }, visit) => {
      lines.forEach((line, row) => {
        const kinds = new Set(duties.filter(({ lineId }) => lineId === line.id).map(({ kind }) => kind));
        const acts = sheet.grid.rows[row]?.acts[visit] ?? '';
        expect(acts.includes('F')).toBe(kinds.has('flush'));
        expect(acts.includes('S')).toBe(kinds.has('site'));
        expect(acts.includes('O')).toBe(kinds.has('dwellLimit'));
        expect(acts === '').toBe([...kinds].every((kind) => kind === 'dwellWarning'));
      });
    });
    expect(words).toContain('ZT');
  });

  it('has no marks of the chat in it, and no letter that the font does not have', async () => {
    const { sheet, words } = await read(12);
    expect(JSON.stringify(sheet)).not.toMatch(/[*☐→]|&amp;/);
    expect(words).not.toMatch(/\uFFFD/);
  });
});
