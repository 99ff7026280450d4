import { describe, expect, it } from 'vitest';
import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { drawn, pngOf } from '../../../src/pictures/drawn.ts';
import { stripPicture } from '../../../src/pictures/strip/strip-picture.ts';
import { stripSvg } from '../../../src/pictures/strip/strip-svg.ts';
import { brokenLines } from '../../../src/pictures/svg-words.ts';
import { niceStep } from '../../../src/pictures/ticks.ts';
import { pictureTitle, stripAltText } from '../../../src/wording/strips/strip-picture-words.ts';
import { type SimulatedStripOptions, simulatedStrip } from '../../support/simulated-strip.ts';

const flush = { atS: 12.3, lengthS: 1, bagMmHg: 290 };
function made(options: SimulatedStripOptions, change: (p: number, i: number) => number = (p) => p) {
  const { strip: own } = simulatedStrip(options);
  const strip = { ...own, pressuresMmHg: own.pressuresMmHg.map(change) };
  return { strip, read: readStrip(strip) };
}
const spiky = made({ ratePerMin: 140, line: { naturalHz: 12, damping: 0.12 }, flush });
const flat = made({}, () => 80);
const svgOf = ({ strip, read }: ReturnType<typeof made>) => stripSvg(strip, read).svg;
const draw = async (svg: string) => pngOf(svg);
const count = (text: string, part: RegExp) => [...text.matchAll(part)].length;

describe('the picture', () => {
  // PNG signature and IHDR: PNG specification, W3C, sections 5.2 and 11.2.2.
  it('is a PNG of 1080 px width and the height that it says', async () => {
    const { pngBytes, widthPx, heightPx } = await stripPicture(spiky.strip, spiky.read, draw);
    expect([...pngBytes.subarray(0, 8)]).toEqual([0x89, 0x50, 0x4e, 0x47, 13, 10, 26, 10]);
    const view = new DataView(pngBytes.buffer, pngBytes.byteOffset);
    expect([view.getUint32(16), view.getUint32(20)]).toEqual([1080, heightPx]);
    expect(widthPx).toBe(1080);
    expect(pngBytes.length).toBeLessThan(1_000_000);
  });

  it('has its own fonts: words in both weights leave ink, unlike words in no font', () => {
    const ink = (weight: number) => {
      const text = `<text x="5" y="60" font-size="50" font-weight="${weight}" font-family="Atkinson Hyperlegible">mmHg 120</text>`;
      const { pixels } = drawn(
        `<svg xmlns="http://www.w3.org/2000/svg" width="300" height="80"><rect width="300" height="80" fill="#ffffff"/>${text}</svg>`,
      );
      return pixels.filter((value, i) => i % 4 === 0 && value < 100).length;
    };
    expect(ink(400)).toBeGreaterThan(1000);
    expect(ink(700)).toBeGreaterThan(1.15 * ink(400));
  });

  it('has no letter smaller than 30 px, a third of which a phone shows', () => {
    const sizes = [...svgOf(spiky).matchAll(/font-size="(\d+)"/g)].map(([, size]) => Number(size));
    expect(Math.min(...sizes)).toBeGreaterThanOrEqual(30);
  });

  it('marks each beat by two shapes and each turn of the ringing by a third, and names all three', () => {
    const svg = svgOf(spiky);
    const peaks = count(svg, /l-15 -24h30z/g) - 1;
    expect(peaks).toBeGreaterThanOrEqual(5);
    expect(count(svg, /<circle/g) - 1).toBe(peaks);
    expect(count(svg, /l16 16l-16 16l-16 -16z/g) - 1).toBe(6);
    for (const name of ['systolic peak', 'beat begins', 'turns of the ringing']) expect(svg).toContain(name);
  });

  it('puts each peak’s mark on a peak of the trace', () => {
    const one = made({ ratePerMin: 100, noiseMmHg: 0, seconds: 10 });
    const svg = svgOf(one);
    const path = /<path d="(M[^"]+)" fill="none"/.exec(svg)?.[1] ?? '';
    const points = path
      .split(/[ML]/)
      .slice(1)
      .map((pair) => pair.split(' ').map(Number));
    const marks = [...svg.matchAll(/M([\d.]+) ([\d.]+)l-15 -24h30z/g)].slice(0, -1);
    expect(marks.length).toBeGreaterThan(3);
    for (const [, x, y] of marks) {
      const near = points.filter(([px = 0]) => Math.abs(px - Number(x)) < 30).map(([, py = 0]) => py);
      // The tip stands 8 px above the place.
      expect(Math.abs(Math.min(...near) - (Number(y) + 8))).toBeLessThan(4);
    }
  });

  it('labels its axes with mmHg and s, and says flush where one is', () => {
    const svg = svgOf(spiky);
    expect(count(svg, />mmHg</g)).toBe(3);
    expect(svg).toMatch(/>13\.4 s</);
    expect(svg).toContain('>flush<');
    expect(svgOf(made({}))).not.toContain('>flush<');
  });

  it('tells the fault and draws no marks where nothing can be read', async () => {
    const svg = svgOf(flat);
    expect(svg).toContain('>Cannot be read<');
    expect(svg).toContain('>Flat line<');
    expect(count(svg, /<circle|l-15 -24h30z/g)).toBe(0);
    expect((await stripPicture(flat.strip, flat.read, draw)).heightPx).toBeGreaterThan(400);
  });

  it.each([
    ['nothing but missing values', 500, () => Number.NaN],
    ['one sample', 1, () => 80],
    ['a rail at 3000 mmHg', 500, () => 3000],
  ])('draws %s without numbers that are none', (_, length, value) => {
    const strip = { ...flat.strip, pressuresMmHg: Float64Array.from({ length }, value) };
    const { svg, heightPx } = stripSvg(strip, readStrip(strip));
    expect(svg).not.toMatch(/NaN|Infinity|undefined/);
    expect(heightPx).toBeGreaterThan(400);
  });

  it('draws a strip with gaps without joining across them', () => {
    const { strip } = simulatedStrip({ seconds: 20 });
    const gone = {
      ...strip,
      pressuresMmHg: strip.pressuresMmHg.map((p, i) => (i > 2000 && i < 2400 ? Number.NaN : p)),
    };
    const paths = [...stripSvg(gone, readStrip(gone)).svg.matchAll(/<path d="(M[^"]+)" fill="none"/g)].map(
      ([, d]) => d ?? '',
    );
    expect(paths.map((d) => count(d, /M/g))).toEqual([1, 2]);
    expect(paths.join('')).not.toContain('NaN');
  });
});

describe('the words beside it', () => {
  it('say what the picture shows, the findings and the verdict with its reason', () => {
    const words = stripAltText(spiky.read);
    expect(words).toMatch(
      /^Picture of an arterial pressure strip: the whole strip, some beats .* Line looks spiky \(underdamped\): fairly sure\./,
    );
    expect(words).toContain('140 beats per minute');
    expect(words).toMatch(/The line rings at 1[12]\.\d Hz with damping 0\.1\d/);
  });

  it('say why nothing was read', () => {
    expect(stripAltText(flat.read)).toContain(
      'The trace is a flat line at 80 mmHg. Look at the animal first',
    );
  });

  it('have "cannot tell" as the title of a strip without a flush', () => {
    expect(pictureTitle(made({}).read.findings)).toBe('Cannot tell whether the line is true');
  });
});

describe('small parts', () => {
  it.each([
    [30, 6, 5],
    [0.9, 6, 0.2],
    [100, 5, 20],
    [7, 7, 1],
  ])('cuts %d into at most %i parts of %d', (span, most, step) => {
    expect(niceStep(span, most)).toBeCloseTo(step, 10);
  });

  it('breaks lines at words', () => {
    expect(brokenLines('one two three four', 9)).toEqual(['one two', 'three', 'four']);
  });
});
