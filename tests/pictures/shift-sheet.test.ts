import { describe, expect, it } from 'vitest';
import { shiftPicture } from '../../src/files/files.ts';
import { look } from '../../src/pictures/look.ts';
import { sheetSvg } from '../../src/pictures/picture.ts';
import { shiftSheet } from '../../src/pictures/shift-sheet.ts';
import { handoverOf } from '../support/handed-over.ts';
import { LineLog, testWard, wall } from '../support/line-builder.ts';
import { nastyWard } from '../support/nasty-ward.ts';

const day = (clock: string) => wall(`2026-11-24 ${clock}`);
const now = day('18:45');

/** Zeroed and tested at 14:05, flushed at 15:00 in time, at 16:40 forty minutes late, and not since: 17:40 is open. */
const log = new LineLog(day('14:00'))
  .inOrder(day('14:05'))
  .add('flushed', day('15:00'), {})
  .add('flushed', day('16:40'), {})
  .add('siteChecked', day('17:30'), { finding: { cold: true } })
  .add('siteChecked', day('17:45'), { finding: {} });

/** The legend’s own shapes are not the shift’s. */
function shapesOf(svg: string) {
  const drawn = svg.slice(svg.indexOf('fill-opacity'));
  const count = (pattern: RegExp) => [...drawn.matchAll(pattern)].length;
  return {
    done: count(/<circle [^>]*r="8\.5"/g),
    late: count(/<path d="M[\d. ]+L[\d. ]+L[\d. ]+Z"/g),
    left: count(/stroke-width="6"\/>/g),
    found: count(/<path d="M[\d. ]+L[\d. ]+L[\d. ]+L[\d. ]+Z"/g),
    coming: count(/<circle [^>]*r="7\.5"/g),
  };
}

describe('the picture of a shift', () => {
  const handed = handoverOf([log], testWard(), now);
  const sheet = shiftSheet(handed);
  const { svg } = sheetSvg(sheet);

  it('marks each duty by its shape: done, late, left, found, to come', () => {
    // By hand: done in time zero and test 14:05, flush 15:00, site check 17:30; late the flush of 16:40; left that of 17:40.
    const { done, late, found, coming } = shapesOf(svg);
    expect({ done, late, found }).toEqual({ done: 4, late: 1, found: 1 });
    expect(svg.match(/M[\d. ]+L[\d. ]+M[\d. ]+L[\d. ]+"/g)).toHaveLength(2);
    const ahead = handed.visits.filter(({ at }) => at <= now + 4 * 3_600_000);
    expect(coming).toBe(ahead.flatMap(({ duties }) => duties).length);
  });

  it('has the line of now between what was and what comes', () => {
    const xOf = (pattern: RegExp) => [...svg.matchAll(pattern)].map(([, x]) => Number(x));
    const [nowAt = Number.NaN] = xOf(
      new RegExp(`<line x1="([\\d.]+)"[^>]*stroke="${look.ink}" stroke-width="5"/>`, 'g'),
    );
    const legendEnds = svg.indexOf('fill-opacity');
    const rest = svg.slice(legendEnds);
    for (const [, x] of rest.matchAll(/<circle cx="([\d.]+)" [^>]*r="8\.5"/g))
      expect(Number(x)).toBeLessThan(nowAt);
    for (const [, x] of rest.matchAll(/<circle cx="([\d.]+)" [^>]*r="7\.5"/g))
      expect(Number(x)).toBeGreaterThanOrEqual(nowAt);
  });

  it('says in words what it shows of each line to watch', () => {
    expect(sheet.altText).toMatch(
      /^The shift, line by line, Tue 24 Nov 07:00 to 18:45, and what comes until 22:45, 1 line: /,
    );
    expect(sheet.altText).toContain('Biscuit: flush due 16:00 late, flush due 17:40 not done, finding 17:30');
  });

  // WCAG 2.2, success criterion 1.4.11: graphics differ from what is next to them by 3 to 1; luminance as defined there.
  it.each(['trace', 'mark', 'soft', 'ink'] as const)(
    'draws its marks in a colour that stands out on the paper: %s',
    (name) => {
      const luminance = (hex: string) => {
        const [red = 0, green = 0, blue = 0] = [1, 3, 5]
          .map((from) => Number.parseInt(hex.slice(from, from + 2), 16) / 255)
          .map((value) => (value <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4));
        return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
      };
      expect((luminance(look.paper) + 0.05) / (luminance(look[name]) + 0.05)).toBeGreaterThanOrEqual(3);
    },
  );

  it('of 40 lines has a row for each, and is drawn as PNG in a process of its own', async () => {
    const logs = nastyWard(40);
    const many = handoverOf(logs, testWard(), now);
    const drawn = sheetSvg(shiftSheet(many)).svg;
    expect(drawn.match(/fill-opacity/g)).toHaveLength(40);
    const { pngBytes, widthPx, altText } = await shiftPicture(many);
    // RFC 2083: the signature, then the width as the first number of the header.
    expect(Array.from(pngBytes.slice(0, 8))).toEqual([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
    expect(Buffer.from(pngBytes.slice(16, 20)).readUInt32BE()).toBe(1080);
    expect(widthPx).toBe(1080);
    expect(altText.length).toBeLessThanOrEqual(1_000);
  }, 30_000);
});
