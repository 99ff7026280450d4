import {
  channelLabels,
  chooseChannel,
  convertedNote,
  mmHgPerUnit,
  whichChannelWords,
} from './channel-choice.ts';
import {
  cellsOf,
  clockSeconds,
  columnOf,
  delimiterOf,
  isFormula,
  isMissing,
  numberOf,
  secondsPerUnit,
} from './csv-columns.ts';
import { type Lines, linesOf, mostLineBytes } from './csv-lines.ts';
import { evenly, rateOfHead, type Values } from './csv-sampling.ts';
import {
  checkedStrip,
  lastPartNote,
  longestReadMin,
  type ParsedStrip,
  refused,
  shownText,
} from './pressure-strip.ts';
import { refusalOfBytes } from './text-of-upload.ts';

function shownHz(hz: number): string {
  return String(Number(hz.toPrecision(4)));
}

const timeNames = /^(?:t|time|elapsed(?: time)?|seconds?|secs?|s|ms|millis\w*|clock|timestamp|date ?time)$/i;
const rateNames = /^(?:fs|sampl(?:e|ing)[ _-]*(?:rate|frequency|freq))$/i;
/** A told rate this far from that of the times is another number, as a share. */
const rateTolerance = 0.03;

/**
 * Reads an arterial pressure strip from CSV: a heading line that names the columns with their units (`time_s,abp_mmHg`;
 * `seconds;ART [mmHg]`; kPa and cmH₂O are converted), values below it, and the sampling rate from a time column, from a column
 * `fs_Hz` or from a comment `# fs=250 Hz`. Comma, semicolon or tab between cells; decimal comma with the latter two. Empty
 * cells and dashes are missing values. Of a long file the last `longestReadMin` minutes are read and the strip says so.
 *
 * `channel` picks among several pressure columns. All refusals are values whose message says what to do.
 */
export function parseStripCsv(bytes: Uint8Array, channel: string | null = null): ParsedStrip {
  const unreadable = refusalOfBytes(bytes);
  if (unreadable) return unreadable;
  const lines = linesOf(bytes);
  if (lines === null) {
    return refused(
      'wrong type',
      `A line of the file has over ${mostLineBytes} characters, so it is no table. Put one sample on each line.`,
    );
  }
  const { head, body, bodyFrom } = lines;
  const headings = head.filter((line) => !line.startsWith('#') && line.trim() !== '');
  const delimiter = delimiterOf(body[0] ?? headings.at(-1) ?? '');
  for (const [i, line] of head.entries()) {
    if (line.startsWith('#')) continue;
    const cell = cellsOf(line, delimiterOf(line)).find((one) => isFormula(one, delimiter));
    if (cell !== undefined) return formulaRefusal(cell, i + 1);
  }
  const headingAt = headings.findLastIndex(
    (line) => line.split(delimiter).length === (body[0] ?? line).split(delimiter).length,
  );
  const rows = headings.slice(Math.max(0, headings.length - 2)).map((line) => cellsOf(line, delimiter));
  if (headings.length === 0 || headingAt < 0) {
    return refused(
      'no header',
      'The file does not say what its columns are. Put a heading line first that names each column with its unit, such as time_s,abp_mmHg.',
    );
  }
  // A last heading line of units alone belongs to the line above it.
  const last = rows.at(-1) ?? [];
  const isUnits =
    rows.length === 2 && last.some((cell) => mmHgPerUnit(cell.replaceAll(/[[\]()]/g, '')) !== null);
  const names = isUnits ? (rows[0] ?? []) : last;
  const columns = names.map((name, i) => columnOf(name, isUnits ? last[i] : ''));
  return readColumns(columns, { lines, delimiter, channel, bodyFrom });
}

function formulaRefusal(cell: string, line: number): ParsedStrip {
  return refused(
    'formula',
    `Line ${line} holds a formula (${shownText(cell, 20)}). Only values are read: copy the cells, paste them as values, and export again.`,
  );
}

function readColumns(
  columns: readonly { name: string; unit: string }[],
  {
    lines,
    delimiter,
    channel,
    bodyFrom,
  }: { lines: Lines; delimiter: string; channel: string | null; bodyFrom: number },
): ParsedStrip {
  const { head, body, leftOut, ended } = lines;
  const isTime = ({ name, unit }: { name: string; unit: string }) =>
    timeNames.test(name.replaceAll('_', ' ').trim()) ||
    (secondsPerUnit(unit) !== null && mmHgPerUnit(unit) === null);
  const timeAt = columns.findIndex(isTime);
  const rateAt = columns.findIndex(
    ({ name, unit }) => rateNames.test(name.trim()) && (unit === '' || /^hz$/i.test(unit)),
  );
  const labels = channelLabels(columns);
  const candidates = columns.map((column, i) =>
    i === timeAt || i === rateAt ? { name: '', unit: '-' } : { ...column, name: labels[i] ?? column.name },
  );
  const choice = chooseChannel(candidates, channel);
  if (choice.found === 'several') {
    const channels = choice.indices.map((i) => labels[i] ?? '');
    return { result: 'which channel', channels, message: whichChannelWords(channels) };
  }
  if (choice.found === 'no such channel') {
    const shown = candidates.filter(({ name }) => name !== '').map(({ name }) => shownText(name));
    return refused(
      'no such channel',
      `There is no column ${shownText(channel ?? '')}. There are: ${shown.join(', ')}.`,
    );
  }
  if (choice.found === 'none') {
    const shown = columns.map(({ name }) => shownText(name)).join(', ');
    return refused(
      'no pressure',
      `No column is named as an arterial pressure (columns: ${shown}). Name it and its unit in the heading line, such as abp_mmHg.`,
    );
  }
  const column = columns[choice.index];
  const perUnit = mmHgPerUnit(column?.unit ?? '');
  if (column === undefined || perUnit === null) {
    const name = shownText(column?.name ?? '');
    return refused(
      'no units',
      column?.unit
        ? `The pressure column ${name} is in ${shownText(column.unit, 20)}; only mmHg, kPa and cmH₂O are taken. Convert it and write the unit in the heading, such as ${name}_mmHg.`
        : `The pressure column ${name} has no unit: is it mmHg, kPa or cmH₂O? Write it in the heading line, such as ${name}_mmHg.`,
    );
  }
  const notes: string[] = [];
  const toldRate = rateOfHead(head);
  const values: Values = { pressures: [], times: [] };
  const secondsPerTime = timeAt < 0 ? null : secondsPerUnit(columns[timeAt]?.unit ?? '');
  let rateOfColumn: number | null = null;
  let dayS = 0;
  let cutOff = false;
  let areTimesUnread = false;
  for (const [i, line] of body.entries()) {
    if (line.trim() === '') continue;
    const cells = line.includes('"') || line.includes("'") ? cellsOf(line, delimiter) : line.split(delimiter);
    const isLast = i === body.length - 1;
    // A broken-off upload ends within a line; what is left of that line may be a wrong number.
    if (isLast && !ended && cells.length < columns.length) {
      cutOff = true;
      continue;
    }
    for (const cell of cells) {
      const first = cell.trimStart()[0];
      if (
        (first === '=' || first === '@' || first === '+' || first === '-') &&
        isFormula(cell.trim(), delimiter)
      ) {
        return formulaRefusal(cell.trim(), bodyFrom + i);
      }
    }
    const cell = (cells[choice.index] ?? '').trim();
    const pressure = numberOf(cell, delimiter);
    if (pressure === null && !isMissing(cell)) {
      return refused(
        'bad value',
        `Line ${bodyFrom + i} has “${shownText(cell, 20)}” for the pressure, which is no number. Write numbers only; leave a missing value empty.`,
      );
    }
    if (rateAt >= 0 && rateOfColumn === null)
      rateOfColumn = numberOf((cells[rateAt] ?? '').trim(), delimiter);
    if (timeAt >= 0 && !areTimesUnread) {
      const told = (cells[timeAt] ?? '').trim();
      const plain = numberOf(told, delimiter);
      const clock = plain === null ? clockSeconds(told) : null;
      const seconds = plain === null ? clock : secondsPerTime === null ? null : plain * secondsPerTime;
      if (seconds === null && toldRate !== null) {
        // A rate that was told stands for times that cannot be read.
        areTimesUnread = true;
        values.times = [];
      } else if (plain !== null && secondsPerTime === null) {
        const name = shownText(columns[timeAt]?.name ?? '');
        return refused(
          'no units',
          `The time column ${name} has no unit. Write it in the heading line: ${name}_s for seconds or ${name}_ms for milliseconds.`,
        );
      } else if (seconds === null) {
        return refused(
          'bad value',
          `Line ${bodyFrom + i} has “${shownText(told, 20)}” for the time, which is no time. Write seconds, or a clock time such as 19:04:12.520.`,
        );
      } else {
        const before = values.times.at(-1) ?? 0;
        // Past midnight a clock begins anew.
        if (clock !== null && seconds + dayS < before - 43_200) dayS += 86_400;
        values.times.push(seconds + dayS);
      }
    }
    values.pressures.push(pressure === null ? Number.NaN : pressure * perUnit);
  }
  if (cutOff) notes.push('The last line breaks off; it was left out. The file may be incomplete.');
  if (perUnit !== 1) notes.push(convertedNote(column.unit));
  if (values.pressures.length === 0) {
    return refused('empty', 'The file has a heading but no values. Export the waveform again.');
  }
  const toldRateHz = toldRate ?? rateOfColumn;
  // A rate column of nought says nothing.
  const told = toldRateHz !== null && toldRateHz > 0 ? toldRateHz : null;
  if (told === null && values.times.length === 0) {
    return refused(
      'no sampling rate',
      'The file has neither times nor a sampling rate. Add a column time_s, or write the rate in the first line, such as # fs=250 Hz.',
    );
  }
  if (told === null && values.times.length < 3) {
    return refused(
      'too short',
      'The file has fewer than 3 samples; at least 2 s are needed, 30 to 60 s are best.',
    );
  }
  const byTimes = values.times.length >= 3 ? evenly(values, bodyFrom) : null;
  if (byTimes && told !== null && !('refusal' in byTimes)) {
    const { samplesPerS: timesHz } = byTimes;
    if (Math.abs(told / timesHz - 1) > rateTolerance) {
      return refused(
        'no sampling rate',
        `The file says ${told} samples per second, but its times give ${shownHz(timesHz)}. Remove or correct the one that is wrong.`,
      );
    }
  }
  const atToldRate = () => ({ samplesPerS: told ?? 0, pressuresMmHg: Float64Array.from(values.pressures) });
  const even = byTimes && (told === null || !('refusal' in byTimes)) ? byTimes : atToldRate();
  if ('refusal' in even) return even.refusal;
  const { samplesPerS, pressuresMmHg: all } = even;
  const pressuresMmHg = all.subarray(Math.max(0, all.length - Math.floor(longestReadMin * 60 * samplesPerS)));
  const fileS = (leftOut + all.length) / samplesPerS;
  const readS = pressuresMmHg.length / samplesPerS;
  const note = lastPartNote(readS, fileS);
  if (note !== null) notes.push(note);
  return checkedStrip({
    samplesPerS,
    pressuresMmHg,
    channel: shownText(column.name),
    startsAtS: fileS - readS,
    fileS,
    notes,
  });
}
