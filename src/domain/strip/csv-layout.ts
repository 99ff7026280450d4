import { type Channel, channelLabels, chooseChannel, mmHgPerUnit } from './channel-choice.ts';
import { secondsPerUnit } from './csv-columns.ts';
import { type ParsedStrip, refused, shownText } from './pressure-strip.ts';

const timeNames = /^(?:t|time|elapsed(?: time)?|seconds?|secs?|s|ms|millis\w*|clock|timestamp|date ?time)$/i;
const rateNames = /^(?:fs|sampl(?:e|ing)[ _-]*(?:rate|frequency|freq))$/i;

/** Which columns of a file matter, by their place; `timeAt` and `rateAt` are -1 where there is none. */
export interface Layout {
  columns: number;
  pressureAt: number;
  /** The pressure column, and how many mmHg one of its units is. */
  pressure: Channel;
  mmHgPerUnit: number;
  timeAt: number;
  timeName: string;
  /** Null where the time column has no unit. */
  secondsPerTime: number | null;
  rateAt: number;
}

/** Finds the columns of pressure, time and sampling rate; a refusal, or the question which, where the pressure is not plain. */
export function layoutOf(columns: readonly Channel[], channel: string | null): Layout | ParsedStrip {
  const isTime = ({ name, unit }: Channel) =>
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
    return { result: 'which channel', channels };
  }
  if (choice.found === 'no such channel') {
    const there = candidates.filter(({ name }) => name !== '').map(({ name }) => shownText(name));
    return refused({ because: 'no such column', name: shownText(channel ?? ''), there });
  }
  if (choice.found === 'none')
    return refused({ because: 'no pressure column', there: columns.map(({ name }) => shownText(name)) });
  const pressure = columns[choice.index];
  const perUnit = mmHgPerUnit(pressure?.unit ?? '');
  if (pressure === undefined || perUnit === null) return withoutUnit(pressure);
  const time = columns[timeAt];
  return {
    columns: columns.length,
    pressureAt: choice.index,
    pressure,
    mmHgPerUnit: perUnit,
    timeAt,
    timeName: shownText(time?.name ?? ''),
    secondsPerTime: time ? secondsPerUnit(time.unit) : null,
    rateAt,
  };
}

function withoutUnit(column: Channel | undefined): ParsedStrip {
  const name = shownText(column?.name ?? '');
  return refused(
    column?.unit
      ? { because: 'column in another unit', name, unit: shownText(column.unit, 20) }
      : { because: 'column without unit', name },
  );
}
