import type { LinesInNumbers } from '../domain/audit/lines-in-numbers.ts';
import { type Species, speciesList } from '../domain/patient/species.ts';
import { atRiskAt, survivalAt } from '../domain/statistics/kaplan-meier.ts';
import { hourMs } from '../domain/time.ts';
import { animals } from '../wording/drawn/audit-labels.ts';
import { capital } from '../wording/drawn/figure-words.ts';
import {
  failedText,
  fewText,
  hoursText,
  leftLabel,
  sideBySide,
  survivalWords,
} from '../wording/drawn/survival-words.ts';
import { look, pictureWidthPx } from './look.ts';
import { marginPx, type Part, type Sheet } from './picture.ts';
import { axes, type Frame, type Places, placesIn, type Tick } from './plot-frame.ts';
import { words } from './svg-words.ts';

type Curve = LinesInNumbers['timeToFailure'];

/** One species with its curve; `untilMs`: how far it can be read. */
interface SpeciesCurve {
  species: Species;
  curve: Curve;
  untilMs: number;
}

/** Dogs and cats look alike in every report; the rest take turns in one ink with dashes of their own. */
const styles: Partial<Record<Species, Style>> = {
  dog: { colour: look.trace, dash: '' },
  cat: { colour: look.mark, dash: ' stroke-dasharray="22 12"' },
};
const otherDashes = ['3 13', '30 10 3 10', '12 8', '30 8 12 8'];

interface Style {
  colour: string;
  dash: string;
}

function styleOf(species: Species): Style {
  const others = speciesList.filter((one) => styles[one] === undefined);
  const dash = otherDashes[others.indexOf(species) % otherDashes.length] ?? '';
  return styles[species] ?? { colour: look.ink, dash: ` stroke-dasharray="${dash}" stroke-linecap="round"` };
}

const steps = [1, 2, 3, 4, 6, 12, 24, 48, 96, 168, 336].map((hours) => hours * hourMs);
const left = 150;
const percents: Tick[] = [0, 25, 50, 75, 100].map((percent) => ({
  value: percent / 100,
  says: `${percent} %`,
}));

/** Multiples of a round number of hours from 0 to an instant, at most seven. */
function hourTicks(untilMs: number): number[] {
  const step =
    steps.find((one) => untilMs / one <= 6.01) ?? Math.ceil(untilMs / (6 * 168 * hourMs)) * 168 * hourMs;
  return Array.from({ length: Math.floor(untilMs / step + 1e-9) + 1 }, (_, i) => i * step);
}

/** The curve up to a time as a path of steps. */
function curvePath({ steps: falls }: Curve, untilMs: number, { xOf, yOf }: Places): string {
  const corners = falls
    .filter(({ time }) => time <= untilMs)
    .map(({ time, survival }) => `H${xOf(time).toFixed(1)}V${yOf(survival).toFixed(1)}`);
  return `M${xOf(0).toFixed(1)} ${yOf(1).toFixed(1)}${corners.join('')}H${xOf(untilMs).toFixed(1)}`;
}

/** The band about it, from the first failure on; it ends where all who were left failed at once. */
function bandPath({ steps: falls }: Curve, untilMs: number, { xOf, yOf }: Places): string {
  const banded = falls.flatMap(({ time, band }, i) => {
    if (time > untilMs || band === null) return [];
    const to = Math.min(falls[i + 1]?.time ?? untilMs, untilMs);
    return [{ x: xOf(time).toFixed(1), to: xOf(to).toFixed(1), band }];
  });
  if (banded.length === 0) return '';
  const upper = banded.map(
    ({ x, to, band }) => `${x} ${yOf(band.upper).toFixed(1)}L${to} ${yOf(band.upper).toFixed(1)}`,
  );
  const lower = banded
    .toReversed()
    .map(({ x, to, band }) => `${to} ${yOf(band.lower).toFixed(1)}L${x} ${yOf(band.lower).toFixed(1)}`);
  return `M${[...upper, ...lower].join('L')}Z`;
}

/** A short stroke across the curve where lines were censored; strokes closer than they can be told apart are one. */
function censorMarks({ species, curve }: SpeciesCurve, untilMs: number, { xOf, yOf }: Places): string {
  const places = new Map<number, number>();
  for (const at of curve.censoredAt) {
    const x = Math.round(xOf(at) / 7) * 7;
    if (at <= untilMs && !places.has(x)) places.set(x, yOf(survivalAt(curve, at).survival));
  }
  const d = [...places].map(([x, y]) => `M${x} ${(y - 11).toFixed(1)}v22`).join('');
  return `<path d="${d}" fill="none" stroke="${styleOf(species).colour}" stroke-width="3"/>`;
}

function drawCurve(one: SpeciesCurve, untilMs: number, places: Places): string {
  const { colour, dash } = styleOf(one.species);
  return [
    `<path d="${bandPath(one.curve, untilMs, places)}" fill="${colour}" fill-opacity="0.15"/>`,
    censorMarks(one, untilMs, places),
    `<path d="${curvePath(one.curve, untilMs, places)}" fill="none" stroke="${colour}" stroke-width="6"${dash}/>`,
  ].join('\n');
}

/** One species by itself, over all the time that its curve can be read, with the lines left below. */
function speciesPart(one: SpeciesCurve): Part {
  const { species, curve, untilMs } = one;
  const heightPx = 530;
  const svgFrom = (top: number) => {
    const frame: Frame = { x: left, y: top + 80, width: pictureWidthPx - left - 60, height: 300 };
    const places = placesIn(frame, { fromX: 0, toX: untilMs, low: 0, high: 1 });
    const hourMarks = hourTicks(untilMs);
    const numbersY = frame.y + frame.height + 88;
    return [
      words(capital(animals[species]), { x: marginPx, y: top + 46, size: 36, bold: true }),
      words(failedText(curve), {
        x: pictureWidthPx - 60,
        y: top + 46,
        size: 30,
        anchor: 'end',
      }),
      axes(
        frame,
        places,
        hourMarks.map((value) => ({ value, says: hoursText(value) })),
        percents,
      ),
      drawCurve(one, untilMs, places),
      words(leftLabel, { x: marginPx, y: numbersY, size: 30, colour: look.soft }),
      ...hourMarks.map((at) =>
        words(String(atRiskAt(curve, at)), { x: places.xOf(at), y: numbersY, size: 30, anchor: 'middle' }),
      ),
    ].join('\n');
  };
  return { heightPx, svgFrom };
}

/** All species over the time in which each can be read. */
function togetherPart(all: readonly SpeciesCurve[], untilMs: number): Part {
  const longest = Math.max(...all.map(({ species }) => animals[species].length));
  const labelPx = longest > 7 ? 220 : 150;
  const svgFrom = (top: number) => {
    const frame: Frame = { x: left, y: top + 80, width: pictureWidthPx - left - labelPx, height: 360 };
    const places = placesIn(frame, { fromX: 0, toX: untilMs, low: 0, high: 1 });
    const ends = all
      .map(({ species, curve }) => ({ species, y: places.yOf(survivalAt(curve, untilMs).survival) }))
      .toSorted((a, b) => a.y - b.y);
    let lastY = Number.NEGATIVE_INFINITY;
    const labels = ends.map(({ species, y }) => {
      lastY = Math.max(y, lastY + 36);
      return words(animals[species], {
        x: frame.x + frame.width + 14,
        y: lastY + 10,
        size: 30,
        bold: true,
        colour: styleOf(species).colour,
      });
    });
    return [
      words(sideBySide(untilMs), { x: marginPx, y: top + 46, size: 36, bold: true }),
      axes(
        frame,
        places,
        hourTicks(untilMs).map((value) => ({ value, says: hoursText(value) })),
        percents,
      ),
      ...all.map((one) => drawCurve(one, untilMs, places)),
      ...labels,
    ].join('\n');
  };
  return { heightPx: 520, svgFrom };
}

/** A sentence in the place of a curve. */
function wordsPart(text: string): Part {
  return {
    heightPx: 70,
    svgFrom: (top) => words(text, { x: marginPx, y: top + 46, size: 32 }),
  };
}

/** How long lines lasted until they failed, by species; null where no line was placed. */
export function survivalSheet(bySpecies: Partial<Record<Species, LinesInNumbers>>): Sheet | null {
  const curves = speciesList.flatMap((species) => {
    const curve = bySpecies[species]?.timeToFailure;
    return curve && curve.subjects > 0 ? [{ species, curve }] : [];
  });
  if (curves.length === 0) return null;
  const readable: SpeciesCurve[] = curves.flatMap(({ species, curve }) =>
    curve.tooFew || !curve.readableUntilMs ? [] : [{ species, curve, untilMs: curve.readableUntilMs }],
  );
  const few = curves.filter(({ species }) => !readable.some((one) => one.species === species)).map(fewText);
  const commonMs = Math.min(...readable.map(({ untilMs }) => untilMs));
  const landmarks = readable.map(({ species, curve, untilMs }) => ({
    species,
    curve,
    landmarkMs: hourTicks(untilMs).findLast((one) => one > 0) ?? untilMs,
  }));
  return {
    ...survivalWords(landmarks, few),
    parts: [
      ...(readable.length > 1 ? [togetherPart(readable, commonMs)] : []),
      ...readable.map(speciesPart),
      ...few.map((text) => wordsPart(`${text}.`)),
    ],
  };
}
