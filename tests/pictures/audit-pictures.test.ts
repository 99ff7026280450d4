import { describe, expect, it } from 'vitest';
import type { CareOnTime } from '../../src/domain/audit/care-on-time.ts';
import { learningCurves, usualCusumRates } from '../../src/domain/audit/learning-curve.ts';
import { type LinesAudit, linesAudit } from '../../src/domain/audit/lines-audit.ts';
import { shareOf } from '../../src/domain/audit/share.ts';
import { spreadOf } from '../../src/domain/audit/spread.ts';
import { dutyKinds } from '../../src/domain/duty-kind.ts';
import { auditPictures, auditSheets, learningCurvePicture } from '../../src/pictures/audit-pictures.ts';
import { careSheet, remindersSheet } from '../../src/pictures/figure-sheets.ts';
import { learningCurveSheet } from '../../src/pictures/learning-curve-sheet.ts';
import { type Sheet, sheetSvg } from '../../src/pictures/picture.ts';
import { altTextOf, mostAltText } from '../../src/wording/drawn/alt-text.ts';
import { percentWords } from '../../src/wording/drawn/figure-words.ts';
import { lineOut, logged, policyAt } from '../domain/audit/audited-lines.ts';
import { hour, LineLog, wall } from '../support/line-builder.ts';

const from = wall('19:00');
const period = { fromMs: from, toMs: from + 90 * 24 * hour };

/** Dogs and cats of which every third came out for an occlusion, and one animal of another kind. */
function manyLines(): LinesAudit {
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

function sheetNamed(fileName: string, audit = manyLines()): Sheet & { svg: string } {
  const sheet = auditSheets(audit).find((one) => one.fileName === fileName);
  if (!sheet) throw new Error(`no ${fileName}`);
  return { ...sheet, svg: sheetSvg(sheet).svg };
}

/** The words in a picture, line by line, from top to bottom as they were drawn. */
function wordsIn(svg: string): string[] {
  return [...svg.matchAll(/<text[^>]*>([^<]*)</g)].map(([, text = '']) => text);
}

describe('the pictures of an audit', () => {
  // PNG signature and IHDR: PNG specification, W3C, sections 5.2 and 11.2.2.
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
      expect([...pngBytes.subarray(0, 8)]).toEqual([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10]);
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
    [
      'twenty lines that failed at one time',
      Array.from({ length: 20 }, () => lineOut(from, hour, 'occluded')),
    ],
    ['twenty lines that came out at once', Array.from({ length: 20 }, () => lineOut(from, 0, 'planned'))],
  ])('of %s hold no numbers that are none', (_, lines) => {
    const sheets = auditSheets(linesAudit(logged(lines), policyAt, period));
    expect(sheets.length).toBeGreaterThan(0);
    for (const sheet of sheets)
      expect(sheetSvg(sheet).svg + sheet.altText).not.toMatch(/NaN|Infinity|undefined|null/);
  });

  it('have no letter smaller than 30 px, and none that the font lacks', () => {
    for (const sheet of auditSheets(manyLines())) {
      const { svg } = sheetSvg(sheet);
      const sizes = [...svg.matchAll(/font-size="(\d+)"/g)].map(([, size]) => Number(size));
      expect(Math.min(...sizes)).toBeGreaterThanOrEqual(30);
      // Letters seen to be drawn: Latin, the minus, and the quotes of print.
      expect(wordsIn(svg).join('')).toMatch(/^[\u0020-\u00ff−’“”]*$/);
    }
  });

  it('say who decides, each of them', () => {
    for (const sheet of auditSheets(manyLines()))
      expect(sheetSvg(sheet).svg).toContain('Attending clinician, hospital protocol and local codes decide.');
  });
});

describe('complications', () => {
  it('have no picture of lines that were in for less than a day in all', () => {
    const sheets = auditSheets(linesAudit(logged([lineOut(from, hour, 'swelling')]), policyAt, period));
    expect(sheets.map(({ fileName }) => fileName)).not.toContain('complications.png');
  });

  it('have no rate and no dot of a species that was in for less than a day', () => {
    const brief = lineOut(from, 0.5 * hour, 'occluded', { patient: { species: 'other' } });
    const dogs = Array.from({ length: 40 }, () => lineOut(from, 24 * hour, 'planned'));
    const { svg, altText } = sheetNamed(
      'complications.png',
      linesAudit(logged([...dogs, brief]), policyAt, period),
    );
    expect(altText).toContain('; others 1 in less than a line-day; too few; ');
    expect(altText).not.toMatch(/\d{4}/);
    // All lines, dogs and six kinds.
    expect(svg.match(/<circle/g)).toHaveLength(8);
  });
});

describe('how long lines lasted', () => {
  const { svg, altText } = sheetNamed('how-long-lines-lasted.png');

  it('has a curve for each species with lines enough, told apart by dashes, and says of the others that they are too few', () => {
    const [together = '', dogs = '', cats = ''] = svg.split(/>Dogs<|>Cats<|>Others/);
    const dashes = (part: string) =>
      [...part.matchAll(/fill="none" stroke="#\w+" stroke-width="6"( stroke-dasharray="[^"]+")?/g)].map(
        ([, dash = 'none']) => dash,
      );
    expect(new Set(dashes(together)).size).toBe(2);
    expect([dashes(dogs).length, dashes(cats).length]).toEqual([1, 1]);
    expect(svg).toContain('>Others: 1 line, 0 failed: too few for a curve.<');
    expect(altText).toContain('Others: 1 line, 0 failed: too few for a curve');
  });

  // By hand: 30 dogs placed, out after 10 to 39 h, so 30, 28, 22 and 16 are left at 0, 12, 18 and 24 h.
  it('writes below the hours how many lines are left', () => {
    const [, dogs = ''] = svg.split('>Dogs<');
    const [, left = ''] = dogs.split('>left<');
    expect(wordsIn(left).slice(0, 5)).toEqual(['30', '30', '28', '22', '16']);
  });

  it('falls where lines failed, and ends where fewer than five are left', () => {
    const [, dogs = ''] = svg.split('>Dogs<');
    const d = /<path d="(M[^"]+)" fill="none" stroke="[^"]+" stroke-width="6"/.exec(dogs)?.[1] ?? '';
    // Dogs that failed came out after 10, 13, … 34 h; one after 37 h came too late, when three were left.
    expect([...d.matchAll(/V/g)].length).toBe(9);
    const corners = [...d.matchAll(/[HV]([\d.]+)/g)].map(([, at]) => Number(at));
    const firstFall = corners[0] ?? 0;
    const end = corners.at(-1) ?? 0;
    // The axis begins at 150 px and the plot ends with the fifth dog from the end, out after 35 h.
    expect((firstFall - 150) / (end - 150)).toBeCloseTo(10 / 35, 2);
  });

  it('has a stroke for each line that came out for another reason, and a band from the first failure to the end', () => {
    const [, dogs = ''] = svg.split('>Dogs<');
    // Of the 26 dogs out by 35 h nine had failed; an hour is 25 px there, so no two strokes fall together.
    expect([...(/<path d="([^"]*v22)"/.exec(dogs)?.[1] ?? '').matchAll(/v22/g)].length).toBe(17);
    const band = /<path d="(M[^"]+Z)"/.exec(dogs)?.[1] ?? '';
    const xs = [...band.matchAll(/([\d.]+) [\d.]+/g)].map(([, x]) => Number(x));
    const curve = /<path d="(M[^"]+)" fill="none" stroke="[^"]+" stroke-width="6"/.exec(dogs)?.[1] ?? '';
    expect(Math.min(...xs)).toBe(Number(/H([\d.]+)/.exec(curve)?.[1]));
    expect(Math.max(...xs)).toBe(Number(/H([\d.]+)$/.exec(curve)?.[1]));
  });

  it('draws strokes that would run into each other as one', () => {
    const lines = Array.from({ length: 300 }, (_, i) => lineOut(from, (10 + i / 100) * hour, 'planned'));
    const many = sheetNamed('how-long-lines-lasted.png', linesAudit(logged(lines), policyAt, period)).svg;
    const strokes = [...(/<path d="([^"]*v22)"/.exec(many)?.[1] ?? '').matchAll(/M(\d+) /g)].map(([, x]) =>
      Number(x),
    );
    expect(strokes.length).toBeGreaterThan(20);
    expect(Math.min(...strokes.slice(1).map((x, i) => x - (strokes[i] ?? 0)))).toBeGreaterThanOrEqual(7);
  });
});

describe('complications', () => {
  it('are told for all lines, for each species and for each kind, with the interval and how many', () => {
    const { svg, altText } = sheetNamed('complications.png');
    const labels = wordsIn(svg);
    for (const label of ['All', 'Dogs', 'Cats', 'Others', 'Occluded', 'Infection'])
      expect(labels).toContain(label);
    // 20 lines failed in 933.5 h together; the exact limits of 20 are 12.22 and 30.89 (Garwood's table, from memory).
    expect(altText).toContain('Rates: all 51.4 (31.4 to 79.4), 20 in all; dogs');
    expect(altText).toContain('infection 0.0 (0.0 to');
  });

  it('of too few days are one rate that says so, with an open dot', () => {
    const audit = linesAudit(logged([lineOut(from, 24 * hour, 'occluded')]), policyAt, period);
    const { svg } = sheetNamed('complications.png', audit);
    // 1 in one day: 0.0253 to 5.572 of the Poisson mean, as tables of exact limits have it (Garwood 1936, from memory).
    expect(wordsIn(svg)).toContain('100 (2.5 to 557), 1 in all; too few days');
    expect(wordsIn(svg)).not.toContain('Dislodged');
    expect(svg).toMatch(/<circle [^>]*fill="#fffcf3"/);
  });
});

describe('care on time', () => {
  const cared = (count: number, total: number): CareOnTime => ({
    onTime: shareOf(count, total),
    late: total - count,
    notDone: 0,
    letGo: 0,
    lateByMs: spreadOf([]),
  });

  it('begins with the worst, and puts what is too few to say last, with an open dot', () => {
    const sheet = careSheet({
      careOnTime: { set: cared(0, 3), flush: cared(18, 20), zero: cared(10, 20), source: cared(0, 0) },
    });
    if (!sheet) throw new Error('care was asked for');
    const { svg } = sheetSvg(sheet);
    const labels = wordsIn(svg).filter((text) => /^(Flush|Zero|Transducer)/.test(text));
    expect(labels).toEqual(['Zero and level', 'Flush', 'Transducer set change']);
    const fills = [...svg.matchAll(/<circle [^>]*fill="([^"]+)"/g)].map(([, fill]) => fill);
    expect(fills).toEqual(['#9c2f1f', '#9c2f1f', '#fffcf3']);
    // Wilson's interval of 10 of 20: 29.9 to 70.1 % (Newcombe, Stat Med 1998;17:857-872, his method 3, by hand).
    expect(sheet.altText).toContain(
      'zero and level 50 % (30 to 70 %), 10 of 20; flush 90 % (70 to 97 %), 18 of 20; transducer set change 0 % (0 to 56 %), 0 of 3, too few to mean much.',
    );
  });
});

describe('reminders', () => {
  it('show the ten duties named most and tell the others in words', () => {
    const { alerts } = manyLines();
    const byDuty = Object.fromEntries(dutyKinds.slice(0, 12).map((kind, i) => [kind, 100 - i]));
    const sheet = remindersSheet({ ...alerts, byDuty });
    if (!sheet) throw new Error('reminders were sent');
    const { svg } = sheetSvg(sheet);
    expect([...svg.matchAll(/<rect [^>]*height="24"/g)].length).toBe(10);
    expect(wordsIn(svg)).toContain('Named less often: flush source check 90, site and limb check 89.');
  });
});

describe('words for who cannot see a picture', () => {
  it('leave figures out by whole ones, and say how many', () => {
    const text = altTextOf(
      'Shows',
      Array.from({ length: 100 }, (_, i) => `figure ${i} of many more`),
      ['The end.'],
    );
    expect(text.length).toBeLessThanOrEqual(mostAltText);
    expect(text).toMatch(/of many more; and \d+ more in the picture\. The end\.$/);
  });

  it.each([
    [0, '0 %'],
    [0.004, 'under 1 %'],
    [0.5, '50 %'],
    [0.996, 'over 99 %'],
    [1, '100 %'],
  ])('give a share of %d as %s', (share, said) => {
    expect(percentWords(share)).toBe(said);
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
  const marks = (svg: string, shape: RegExp) => [...svg.matchAll(shape)].length - 1;

  // Kestin IG, Br J Anaesth 1995;75:805-809: at 20 and 40 % eight successes in a row reach the lower limit.
  it('marks each time that eight successes in a row reach the lower limit, with its rates and without the name', () => {
    const sheet = learningCurveSheet(curveOf(Array.from({ length: 16 }, () => true)), usualCusumRates);
    const { svg } = sheetSvg(sheet);
    expect(sheet.altText).toContain('Limits reached: lower limit at try 8; lower limit at try 16.');
    expect(sheet.altText).toContain('20 % failing is acceptable, 40 % is not');
    expect([marks(svg, /l19 -32h-38z/g), marks(svg, /l19 32h-38z/g)]).toEqual([2, 0]);
    expect(svg + sheet.altText).not.toContain('ROBIN');
  });

  // h1 2.2402 and 1 − s 0.7067: four failures in a row make 2.83, three 2.12.
  it('marks the upper limit at the fourth failure in a row', () => {
    const sheet = learningCurveSheet(curveOf([false, false, false, false]), usualCusumRates);
    expect(sheet.altText).toContain('Limits reached: upper limit at try 4.');
    expect(marks(sheetSvg(sheet).svg, /l19 32h-38z/g)).toBe(1);
  });

  it('of one try says that nothing can be said yet', () => {
    const { altText, pngBytes } = learningCurvePicture(curveOf([false]), usualCusumRates);
    expect(altText).toContain('No limit was reached: too few tries to say anything yet.');
    expect(pngBytes.length).toBeGreaterThan(1000);
  });
});
