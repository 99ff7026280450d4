import { describe, expect, it } from 'vitest';
import { learningCurves, usualCusumRates } from '../../src/domain/audit/learning-curve.ts';
import { linesAudit } from '../../src/domain/audit/lines-audit.ts';
import { mostAltText } from '../../src/pictures/alt-text.ts';
import { auditPictures, auditSheets, learningCurvePicture } from '../../src/pictures/audit-pictures.ts';
import { learningCurveSheet } from '../../src/pictures/learning-curve-sheet.ts';
import { sheetSvg } from '../../src/pictures/picture.ts';
import { lineOut, logged, policyAt } from '../domain/audit/audited-lines.ts';
import { hour, LineLog, wall } from '../support/line-builder.ts';

const from = wall('19:00');
const period = { fromMs: from, toMs: from + 90 * 24 * hour };

/** Dogs and cats of which every third came out for an occlusion, and one animal of another kind. */
function manyLines() {
  const lines = Array.from({ length: 60 }, (_, i) =>
    lineOut(from + i * hour, (i < 30 ? 10 + i : 2 + i / 10) * hour, i % 3 === 0 ? 'occluded' : 'planned', {
      patient: { species: i < 30 ? 'dog' : 'cat' },
    }).add('pulseChecked', from + i * hour + 45 * hour, { pulse: 'present' }),
  );
  const nudged = lineOut(from, 5 * hour, 'planned', { patient: { species: 'other' } }, (log) =>
    log.add('nudged', from + hour, { duties: [['flush', from + hour]] }),
  );
  return linesAudit(logged([...lines, nudged]), policyAt, period);
}

const sheetNamed = (fileName: string) => {
  const sheet = auditSheets(manyLines()).find((one) => one.fileName === fileName);
  if (!sheet) throw new Error(`no ${fileName}`);
  return { ...sheet, svg: sheetSvg(sheet).svg };
};

describe('the pictures of an audit', () => {
  it('are PNGs of 1080 px width, each with title, file name and words that fit the platform', () => {
    const pictures = auditPictures(manyLines());
    expect(pictures.map(({ fileName }) => fileName)).toEqual([
      'how-long-lines-lasted.png',
      'complications.png',
      'care-on-time.png',
      'reminders.png',
      'pulse-after-removal.png',
    ]);
    for (const { pngBytes, widthPx, heightPx, altText, title } of pictures) {
      const view = new DataView(pngBytes.buffer, pngBytes.byteOffset);
      expect([view.getUint32(16), view.getUint32(20)]).toEqual([1080, heightPx]);
      expect(widthPx).toBe(1080);
      expect(altText.startsWith(title)).toBe(true);
      expect(altText.length).toBeLessThanOrEqual(mostAltText);
    }
  });

  it('are none of a ward without lines', () => {
    expect(auditPictures(linesAudit([], policyAt, period))).toEqual([]);
  });

  it.each([
    ['a line placed at the last instant', [new LineLog(period.toMs - 1)]],
    ['a line that came out at once', [lineOut(from, 0, 'death')]],
    ['one line', [lineOut(from, hour, 'occluded')]],
  ])('of %s hold no numbers that are none', (_, lines) => {
    const sheets = auditSheets(linesAudit(logged(lines), policyAt, period));
    expect(sheets.length).toBeGreaterThan(0);
    for (const sheet of sheets)
      expect(sheetSvg(sheet).svg + sheet.altText).not.toMatch(/NaN|Infinity|undefined|null/);
  });

  it('have no letter smaller than 30 px, and none that the font lacks', () => {
    const svgs = auditSheets(manyLines()).map((sheet) => sheetSvg(sheet).svg);
    for (const svg of svgs) {
      const sizes = [...svg.matchAll(/font-size="(\d+)"/g)].map(([, size]) => Number(size));
      expect(Math.min(...sizes)).toBeGreaterThanOrEqual(30);
      // Letters seen to be drawn: Latin, and the dashes and quotes of print.
      const texts = [...svg.matchAll(/<text[^>]*>([^<]*)</g)].map(([, text]) => text).join('');
      expect(texts).toMatch(/^[\u0020-\u00ff–’“”]*$/);
    }
  });
});

describe('how long lines lasted', () => {
  it('has a curve for each species with lines enough, and says of the others that they are too few', () => {
    const { svg, altText } = sheetNamed('how-long-lines-lasted.png');
    expect(svg).toContain('>Dogs<');
    expect(svg).toContain('>Cats<');
    expect(svg).toContain('>Others: 1 line, 0 failed: too few for a curve.<');
    expect(altText).toContain('Others: 1 line, 0 failed: too few for a curve');
  });
});

describe('a learning curve', () => {
  const curveOf = (succeeded: boolean[]) => {
    const [curve] = learningCurves(
      succeeded.map((one, at) => ({
        placing: String(at),
        at,
        by: 'U0ROBIN',
        succeeded: one,
        species: 'dog' as const,
        site: 'radial' as const,
      })),
    );
    if (!curve) throw new Error('no curve was made');
    return curve;
  };

  // Kestin IG, Br J Anaesth 1995;75:805-809: at 20 and 40 % eight successes in a row reach the lower limit.
  it('marks the limit that eight successes in a row reach, with its rates and without the name', () => {
    const sheet = learningCurveSheet(curveOf(Array.from({ length: 8 }, () => true)), usualCusumRates);
    const { svg } = sheetSvg(sheet);
    expect(sheet.altText).toContain('Limits reached: lower limit at try 8.');
    expect(sheet.altText).toContain('20 % failing is acceptable, 40 % is not');
    expect(svg).toContain('lower limit reached');
    expect(svg + sheet.altText).not.toContain('ROBIN');
  });

  it('of one try says that nothing can be said yet', () => {
    const { altText, pngBytes } = learningCurvePicture(curveOf([false]), usualCusumRates);
    expect(altText).toContain('No limit was reached: too few tries to say anything yet.');
    expect(pngBytes.length).toBeGreaterThan(1000);
  });
});
