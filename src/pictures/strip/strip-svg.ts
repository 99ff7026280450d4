import type { PressureStrip } from '../../domain/strip/pressure-strip.ts';
import type { ReadStrip } from '../../domain/strip/strip-findings.ts';
import { excursionText, faultText, patientText } from '../../wording/strips/strip-finding-words.ts';
import {
  beatsText,
  flushTestText,
  stripLabels as labels,
  pictureTitle,
} from '../../wording/strips/strip-picture-words.ts';
import { look, pictureWidthPx } from '../look.ts';
import { brokenLines, words } from '../svg-words.ts';
import { type Box, type PlotOf, plotPanel } from './plot-panel.ts';

const [left, right, top] = [110, 40, 60];
const width = pictureWidthPx - left - right;

/** Lowest and highest pressure of a stretch with a margin for the marks. */
function rangeOf(pressures: Float64Array, from: number, to: number): { lowMmHg: number; highMmHg: number } {
  let [low, high] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (let i = from; i < to; i += 1) {
    const p = pressures[i] ?? Number.NaN;
    if (p < low) low = p;
    if (p > high) high = p;
  }
  if (!(high > low))
    [low, high] = [(Number.isFinite(low) ? low : 0) - 10, (Number.isFinite(low) ? low : 0) + 10];
  const margin = 0.16 * Math.max(10, high - low);
  return { lowMmHg: Math.floor((low - margin) / 10) * 10, highMmHg: Math.ceil((high + margin) / 10) * 10 };
}

/** A filled triangle that points down, its tip at the place: a systolic peak. */
const peakMark = (x: number, y: number) =>
  `<path d="M${x.toFixed(1)} ${(y - 8).toFixed(1)}l-15 -24h30z" fill="${look.mark}"/>`;
/** An open ring around the place: where a beat begins. */
const footMark = (x: number, y: number) =>
  `<circle cx="${x.toFixed(1)}" cy="${y.toFixed(1)}" r="12" fill="${look.paper}" fill-opacity="0.6" stroke="${look.ink}" stroke-width="5"/>`;
/** A filled diamond on the place: a turn of the ringing. */
const turnMark = (x: number, y: number) =>
  `<path d="M${x.toFixed(1)} ${(y - 16).toFixed(1)}l16 16l-16 16l-16 -16z" fill="${look.mark}" stroke="${look.paper}" stroke-width="3"/>`;

interface Drawing {
  strip: PressureStrip;
  read: ReadStrip;
}

const plotOf = ({ strip }: Drawing, from: number, to: number): PlotOf => ({
  pressures: strip.pressuresMmHg,
  samplesPerS: strip.samplesPerS,
  from,
  to,
  startsAtS: 0,
  ...rangeOf(strip.pressuresMmHg, from, to),
});

/** The whole strip, with flushes hatched and named. */
function wholePanel(drawing: Drawing, box: Box): string {
  const { strip, read } = drawing;
  const whole = plotOf(drawing, 0, strip.pressuresMmHg.length);
  const { svg, xOf } = plotPanel(whole, box, labels.whole);
  const { samplesPerS } = strip;
  const others = read.findings.excursions.map(({ fromS, toS }) => ({
    restFrom: fromS * samplesPerS,
    restTo: toS * samplesPerS,
  }));
  const hatched = [...read.flushes, ...others].map(({ restFrom, restTo }) => {
    const [x, end] = [xOf(restFrom), xOf(restTo)];
    return `<rect x="${x.toFixed(1)}" y="${box.y}" width="${(end - x).toFixed(1)}" height="${box.height}" fill="url(#hatch)"/>`;
  });
  const named = read.flushes.map(({ restFrom, restTo }) => {
    const isRight = xOf(restTo) > box.x + box.width - 110;
    const x = isRight ? xOf(restFrom) - 12 : xOf(restTo) + 12;
    return words(labels.flush, { x, y: box.y + 44, size: 30, bold: true, anchor: isRight ? 'end' : 'start' });
  });
  return [...hatched, svg, ...named].join('\n');
}

/** Some beats near the end, away from flushes, with peaks and beginnings marked. */
function beatsPanel(drawing: Drawing, box: Box): string | null {
  const { strip, read } = drawing;
  const { beats } = read;
  const last = beats.at(-1);
  if (last === undefined || read.findings.beats === null) return null;
  const beatS = 60 / read.findings.beats.ratePerMin;
  const length = Math.round(Math.min(6, Math.max(1.5, 6 * beatS)) * strip.samplesPerS);
  const end = Math.min(strip.pressuresMmHg.length, last.endsAt + Math.round(0.1 * strip.samplesPerS));
  const from = Math.max(0, end - length);
  const { svg, xOf, yOf } = plotPanel(plotOf(drawing, from, end), box, labels.beats);
  const seen = beats.filter(({ footAt, peakAt }) => footAt >= from && peakAt < end);
  const marks = seen.map(
    ({ footAt, peakAt, sapMmHg }) =>
      peakMark(xOf(peakAt), yOf(sapMmHg)) +
      footMark(xOf(footAt), yOf(strip.pressuresMmHg[footAt] ?? sapMmHg)),
  );
  const y = box.y + box.height + 92;
  const legend = [
    peakMark(box.x + 18, y - 2),
    words(labels.peak, { x: box.x + 46, y, size: 30 }),
    footMark(box.x + 340, y - 10),
    words(labels.foot, { x: box.x + 366, y, size: 30 }),
  ];
  return [svg, ...marks, ...legend].join('\n');
}

/** The last flush that could be measured, close by, with the turns of its ringing numbered. */
function flushPanel(drawing: Drawing, box: Box): string | null {
  const { strip, read } = drawing;
  const { samplesPerS, pressuresMmHg } = strip;
  const at = read.findings.flushes.findLastIndex(({ test }) => test.measured !== 'cannot tell');
  const index = at < 0 ? read.flushes.length - 1 : at;
  const [flush, finding] = [read.flushes[index], read.findings.flushes[index]];
  if (flush === undefined || finding === undefined) return null;
  const { test } = finding;
  const from = Math.max(0, flush.releasedAt - Math.round(0.15 * samplesPerS));
  const to = Math.min(pressuresMmHg.length, flush.releasedAt + Math.round(0.75 * samplesPerS));
  const { svg, xOf, yOf } = plotPanel(plotOf(drawing, from, to), box, labels.afterFlush);
  const turns = test.measured === 'ringing' ? test.turns.slice(0, 6) : [];
  const marks = turns.map(({ atS, offMmHg }, i) => {
    const sample = Math.round(atS * samplesPerS);
    const [x, y] = [xOf(atS * samplesPerS), yOf(pressuresMmHg[sample] ?? 0)];
    const place = offMmHg < 0 ? { x: x + 24, y: y + 14 } : { x: x - 8, y: y - 26 };
    const label = words(String(i + 1), { ...place, size: 30, bold: true });
    return turnMark(x, y) + label;
  });
  const says = flushTestText(test);
  const y = box.y + box.height + 92;
  const legend =
    turns.length > 0
      ? [turnMark(box.x + 18, y - 10), words(`${labels.turns}. ${says}`, { x: box.x + 46, y, size: 30 })]
      : [words(says, { x: box.x, y, size: 30 })];
  return [svg, ...marks, ...legend].join('\n');
}

/**
 * A read strip as SVG, 1080 px wide: the verdict, the pressures, the whole strip, some beats with their marks and, where
 * there is one, the ringing after the flush. Marks differ by shape, not colour alone.
 */
export function stripSvg(strip: PressureStrip, read: ReadStrip): { svg: string; heightPx: number } {
  const { findings } = read;
  const { beats, faults, patient, excursions } = findings;
  const parts: string[] = [];
  let y = top;
  // A colon is where the title is broken: what, then how sure or why.
  for (const [i, part] of pictureTitle(findings).split(': ').entries()) {
    const line = part.charAt(0).toUpperCase() + part.slice(1);
    parts.push(words(line, { x: 40, y: y + 10, size: i === 0 ? 50 : 40, bold: true }));
    y += 58;
  }
  if (beats !== null) {
    parts.push(words(beatsText(beats, faults.length > 0), { x: 40, y: y + 8, size: 36 }));
    y += 50;
  }
  const said = [
    ...patient.map(patientText),
    ...excursions.filter(({ kind }) => kind === 'no pulse').map(excursionText),
    ...faults.map(faultText),
  ];
  for (const line of said.slice(0, 2).flatMap((text) => brokenLines(`! ${text}`, 66))) {
    parts.push(words(line, { x: 40, y: y + 6, size: 30 }));
    y += 40;
  }
  const drawing = { strip, read };
  const panels: ((box: Box) => string | null)[] = [
    (box) => flushPanel(drawing, box),
    (box) => beatsPanel(drawing, box),
    (box) => wholePanel(drawing, box),
  ];
  for (const draw of panels) {
    const box = { x: left, y: y + 76, width, height: 300 };
    const svg = draw(box);
    if (svg === null) continue;
    parts.push(svg);
    y = box.y + box.height + 110;
  }
  parts.push(
    words(labels.caution, {
      x: 40,
      y: y - 10,
      size: 30,
      colour: look.soft,
    }),
  );
  const heightPx = Math.round(y + 24);
  const hatch = `<defs><pattern id="hatch" width="16" height="16" patternUnits="userSpaceOnUse" patternTransform="rotate(45)"><rect width="16" height="16" fill="${look.paper}"/><rect width="5" height="16" fill="${look.rule}"/></pattern></defs>`;
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${pictureWidthPx}" height="${heightPx}" viewBox="0 0 ${pictureWidthPx} ${heightPx}" font-family="${look.family}">${hatch}<rect width="100%" height="100%" fill="${look.paper}"/>\n${parts.join('\n')}\n</svg>`;
  return { svg, heightPx };
}
