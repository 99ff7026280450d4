import { extractText, getDocumentProxy, getMeta } from 'unpdf';
import { describe, expect, it } from 'vitest';
import { ownerRisks } from '../../src/domain/risks/owner-risks.ts';
import { makePaper } from '../../src/files/files.ts';
import { a4Pdf, type PaperPage } from '../../src/paper/a4-page.ts';
import { ownerLines, ownerWords } from '../../src/wording/owner/owner-words.ts';

const nowMs = Date.parse('2026-11-29T10:00:00Z');
const foot = 'As of 29 November 2026.';
const cat = ownerWords({ species: 'cat', risks: ownerRisks('cat', null), countedTo: '28 November 2026' });
const otherWords = ownerWords({ species: 'other', risks: [], countedTo: null });
const dog = ownerWords({ species: 'dog', risks: ownerRisks('dog', null), countedTo: '28 November 2026' });

/** The page as Mozilla's pdf.js reads it, which knows nothing of how it was written. */
async function read(page: PaperPage) {
  const bytes = await a4Pdf(page, nowMs);
  const pdf = await getDocumentProxy(bytes.slice());
  const { text, totalPages } = await extractText(pdf, { mergePages: true });
  return { bytes, pdf, totalPages, words: spaced(text) };
}
const spaced = (text: string) => text.replaceAll(/\s+/g, ' ').trim();

describe.each([
  ['cat', cat],
  ['dog', dog],
  ['other animal', otherWords],
] as const)('the page to print for the owner of a %s', (_species, page) => {
  it('is one A4 page that another reader reads word for word, in the order of the screen', async () => {
    const { pdf, totalPages, words } = await read({ ...page, foot });
    expect(totalPages).toBe(1);
    const { width, height } = (await pdf.getPage(1)).getViewport({ scale: 1 });
    // ISO 216: A4 is 210 by 297 mm; 72 points to the inch of 25.4 mm.
    expect([width, height].map((points) => Math.round((points * 25.4) / 72))).toEqual([210, 297]);
    const screen = ownerLines(page).map((line) => line.replace(/^• /, ''));
    expect(words).toBe(spaced([...screen, foot].join(' ')));
  });
});

describe('a page on paper', () => {
  it('brings its fonts, its title and its language', async () => {
    const { bytes, pdf } = await read({ ...cat, foot });
    const { info } = await getMeta(pdf);
    expect(info).toMatchObject({ Title: 'An arterial line for your cat', Language: 'en-GB' });
    const page = await pdf.getPage(1);
    await page.getOperatorList();
    const { items } = await page.getTextContent();
    const fonts = new Set(items.flatMap((item) => ('fontName' in item ? [item.fontName] : [])));
    const loaded = [...fonts].map((name) => {
      const { name: face, missingFile } = page.commonObjs.get(name) as {
        name: string;
        missingFile?: boolean;
      };
      return [face.replace(/^[A-Z]{6}\+/, ''), missingFile ?? false];
    });
    expect(Object.fromEntries(loaded)).toEqual({
      'AtkinsonHyperlegible-Bold': false,
      'AtkinsonHyperlegible-Regular': false,
    });
    expect(bytes.length).toBeLessThan(60_000);
  });

  it('tells a screen reader what is a heading and what a list', async () => {
    const { pdf } = await read({ ...cat, foot });
    expect(await pdf.getMarkInfo()).toMatchObject({ Marked: true });
    const tree = await (await pdf.getPage(1)).getStructTree();
    const roles: string[] = [];
    const walk = (node: object) => {
      if ('role' in node) roles.push(String(node.role));
      for (const child of 'children' in node ? (node.children as object[]) : []) walk(child);
    };
    walk(tree);
    const count = (role: string) => roles.filter((one) => one === role).length;
    expect([count('H1'), count('H2'), count('L'), count('LI')]).toEqual([1, 4, 2, 11]);
  });

  it('goes on to a second page where it is too long, and loses nothing', async () => {
    const points = Array.from({ length: 90 }, (_, index) => ({
      what: `Point ${index}`,
      said: 'said of it.',
    }));
    const { totalPages, words } = await read({ title: 'Long', sections: [{ title: 'All', points }], foot });
    expect(totalPages).toBeGreaterThan(1);
    for (const { what } of points) expect(words).toContain(`${what}: said of it.`);
  });

  it('is the same made in a process of its own, and fails with its cause', async () => {
    const page = { ...dog, foot };
    const made = await makePaper(page, nowMs);
    const { text } = await extractText(await getDocumentProxy(made), { mergePages: true });
    expect(spaced(text)).toBe((await read(page)).words);
    await expect(makePaper({ ...page, sections: null as never }, nowMs)).rejects.toThrow('iterable');
  });
});
