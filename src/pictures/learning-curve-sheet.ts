import type { LearningCurve } from '../domain/audit/learning-curve.ts';
import type { CusumPoint, CusumRates } from '../domain/statistics/cusum.ts';
import {
  learningCurveLabels as labels,
  learningCurveWords,
  limitOf,
} from '../wording/drawn/learning-curve-words.ts';
import { look, pictureWidthPx } from './look.ts';
import { marginPx, type Part, type Sheet } from './picture.ts';
import { axes, type Frame, placesIn } from './plot-frame.ts';
import { words } from './svg-words.ts';
import { ticks } from './ticks.ts';

type Limits = LearningCurve['limits'];

/** A stretch between crossings: the limits are reckoned anew from where the curve stood at the last one. */
interface Stretch {
  from: number;
  to: number;
  base: number;
}

function stretchesOf(points: readonly CusumPoint[]): Stretch[] {
  const stretches: Stretch[] = [{ from: 0, to: 0, base: 0 }];
  for (const { attempt, sum, crossed } of points) {
    const last = stretches.at(-1);
    if (last) last.to = attempt;
    if (crossed) stretches.push({ from: attempt, to: attempt, base: sum });
  }
  return stretches;
}

/** A filled triangle: upwards where the upper limit was reached, downwards where the lower was. */
function crossingMark(limit: 'upper' | 'lower', x: number, y: number): string {
  const d =
    limit === 'upper'
      ? `M${x.toFixed(1)} ${(y - 20).toFixed(1)}l19 32h-38z`
      : `M${x.toFixed(1)} ${(y + 20).toFixed(1)}l19 -32h-38z`;
  return `<path d="${d}" fill="${look.mark}" stroke="${look.paper}" stroke-width="3"/>`;
}

const fewestOnAxis = 10;

function legend(y: number): string {
  return [
    `<line x1="${marginPx}" x2="${marginPx + 66}" y1="${y - 10}" y2="${y - 10}" stroke="${look.ink}" stroke-width="4" stroke-dasharray="18 10"/>`,
    words(labels.limits, { x: marginPx + 82, y, size: 30 }),
    crossingMark('upper', marginPx + 240, y - 10),
    words(labels.upper, { x: marginPx + 272, y, size: 30 }),
    crossingMark('lower', marginPx + 620, y - 10),
    words(labels.lower, { x: marginPx + 652, y, size: 30 }),
  ].join('');
}

function curvePart(points: readonly CusumPoint[], { h0, h1 }: Limits): Part {
  // So that one try does not look like a course.
  const toX = Math.max(points.length, fewestOnAxis);
  const stretches = stretchesOf(points);
  const heightPx = 696;
  const svgFrom = (top: number) => {
    const frame: Frame = { x: 110, y: top + 66, width: pictureWidthPx - 160, height: 460 };
    const sums = points.map(({ sum }) => sum);
    const bases = stretches.map(({ base }) => base);
    const low = Math.floor(Math.min(0, ...sums, ...bases.map((base) => base - h0)) - 0.5);
    const high = Math.ceil(Math.max(0, ...sums, ...bases.map((base) => base + h1)) + 0.5);
    const places = placesIn(frame, { fromX: 0, toX, low, high });
    const { xOf, yOf } = places;
    const path = points
      .map(({ attempt, sum }) => `L${xOf(attempt).toFixed(1)} ${yOf(sum).toFixed(1)}`)
      .join('');
    const limits = stretches.flatMap(({ from, to, base }, i) =>
      [base + h1, base - h0].map(
        (value) =>
          `<line x1="${xOf(from).toFixed(1)}" x2="${xOf(i === stretches.length - 1 ? toX : to).toFixed(1)}" y1="${yOf(value).toFixed(1)}" y2="${yOf(value).toFixed(1)}" stroke="${look.ink}" stroke-width="4" stroke-dasharray="18 10"/>`,
      ),
    );
    const whole = ticks(0, toX, 6).filter((value) => Number.isInteger(value));
    return [
      words(labels.curve, { x: marginPx, y: top + 40, size: 30, colour: look.soft }),
      axes(
        frame,
        places,
        whole.map((value) => ({ value, says: String(value) })),
        ticks(low, high, 6).map((value) => ({ value, says: String(value).replace('-', '−') })),
      ),
      `<clipPath id="frame"><rect x="${frame.x}" y="${frame.y}" width="${frame.width}" height="${frame.height}"/></clipPath>`,
      `<g clip-path="url(#frame)">${limits.join('')}</g>`,
      `<path d="M${xOf(0).toFixed(1)} ${yOf(0).toFixed(1)}${path}" fill="none" stroke="${look.trace}" stroke-width="5" stroke-linejoin="round"/>`,
      ...points.flatMap(({ attempt, sum, crossed }) =>
        crossed ? [crossingMark(limitOf[crossed], xOf(attempt), yOf(sum))] : [],
      ),
      legend(frame.y + frame.height + 140),
      words(labels.tries, {
        x: frame.x + frame.width,
        y: frame.y + frame.height + 84,
        size: 30,
        anchor: 'end',
        colour: look.soft,
      }),
    ].join('\n');
  };
  return { heightPx, svgFrom };
}

/** One person’s learning curve, without a name; words alone where no try was recorded. */
export function learningCurveSheet(curve: LearningCurve, rates: CusumRates): Sheet {
  const { attempts, points, limits } = curve;
  return {
    ...learningCurveWords(curve, rates),
    parts: attempts === 0 ? [] : [curvePart(points, limits)],
  };
}
