import { look } from './look.ts';
import { words } from './svg-words.ts';

/** Where a plot stands in a picture, px; the axes lie left of and below it. */
export interface Frame {
  x: number;
  y: number;
  width: number;
  height: number;
}

/** A value on an axis and the words at it. */
export interface Tick {
  value: number;
  says: string;
}

/** The values at the ends of the axes. */
export interface Span {
  fromX: number;
  toX: number;
  low: number;
  high: number;
}

/** Where values lie in a plot, px. */
export interface Places {
  xOf: (value: number) => number;
  yOf: (value: number) => number;
}

/** Where values of a span lie in a frame. */
export function placesIn(frame: Frame, { fromX, toX, low, high }: Span): Places {
  return {
    xOf: (value) => frame.x + ((value - fromX) / (toX - fromX)) * frame.width,
    yOf: (value) => frame.y + frame.height - ((value - low) / (high - low)) * frame.height,
  };
}

/** Axes with rules behind: words left of the values of y and below those of x. */
export function axes(
  frame: Frame,
  { xOf, yOf }: Places,
  xTicks: readonly Tick[],
  yTicks: readonly Tick[],
): string {
  const right = frame.x + frame.width;
  const below = frame.y + frame.height;
  return [
    ...yTicks.flatMap(({ value, says }) => {
      const y = yOf(value);
      return [
        `<line x1="${frame.x}" x2="${right}" y1="${y.toFixed(1)}" y2="${y.toFixed(1)}" stroke="${look.rule}" stroke-width="2"/>`,
        words(says, { x: frame.x - 14, y: y + 10, size: 30, anchor: 'end', colour: look.soft }),
      ];
    }),
    ...xTicks.flatMap(({ value, says }) => {
      const x = xOf(value);
      return [
        `<line x1="${x.toFixed(1)}" x2="${x.toFixed(1)}" y1="${frame.y}" y2="${below}" stroke="${look.rule}" stroke-width="2"/>`,
        words(says, { x, y: below + 40, size: 30, anchor: 'middle', colour: look.soft }),
      ];
    }),
    `<rect x="${frame.x}" y="${frame.y}" width="${frame.width}" height="${frame.height}" fill="none" stroke="${look.soft}" stroke-width="2"/>`,
  ].join('\n');
}
