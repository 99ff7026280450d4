import { LineLog, minute, type PlacedChanges, wall } from './line-builder.ts';

/** Invented patients of a bad day: their names, as long as names on a ward are. */
const names = [
  'Biscuit',
  'Mochi',
  'Otto',
  'Juno',
  'Rex',
  'Wilhelmina',
  'Pip',
  'Saffron',
  'Bruno',
  'Tigger',
  'Maple',
  'Ziggy',
];

/** The 24 November, on which the ward’s clock shows this. */
const day = (clock: string) => wall(`2026-11-24 ${clock}`);

/** An invented line placed in the morning, in order until `until`: flushed by the hour, zeroed, looked at, read. */
function steady(index: number, changes: PlacedChanges, until: string): LineLog {
  const name = names[index % names.length] ?? '';
  const number = index < names.length ? name : `${name} ${Math.floor(index / names.length) + 1}`;
  const { patient, ...rest } = changes;
  const log = new LineLog(
    day('06:00'),
    { side: index % 2 === 0 ? 'left' : 'right', ...rest, patient: { name: number, ...patient } },
    `line${String(index).padStart(3, '0')}`,
  );
  const end = day(until);
  log
    .add('zeroed', day('06:05'), {})
    .add('fastFlushTested', day('06:06'), { verdict: 'normal', heartRatePerMin: 120 });
  log.add('zeroed', day('07:05'), {}).add('levelled', day('07:05'), {});
  log.add('fastFlushTested', day('07:06'), { verdict: 'normal', heartRatePerMin: 120 });
  if (rest.flushMode === 'continuous') log.add('sourceChecked', day('07:08'), { volumeLeftMl: 400 });
  for (let at = day('06:50'); at <= end && rest.flushMode !== 'continuous'; at += 55 * minute)
    log.add('flushed', at, { volumeMl: 1 });
  const everyH = patient?.species === 'cat' ? 1.9 : 3.9;
  for (let at = day('09:30'); at <= end; at += everyH * 60 * minute)
    log.add('siteChecked', at, { finding: {} });
  for (let at = day('09:00'); at <= end; at += 180 * minute)
    log.add('reading', at, { sapMmHg: 118, dapMmHg: 64, mapMmHg: 82, heartRatePerMin: 120 });
  if (end >= day('17:50'))
    log.add('redressed', day('17:50'), { finding: {} }).add('zeroed', day('17:55'), {});
  return log;
}

const pumped: PlacedChanges = {
  flushMode: 'continuous',
  source: { kind: 'pressure bag', volumeMl: 500, rateMlPerH: 3, pressureMmHg: 300 },
};

/** What went wrong with every third line of a nasty ward, in turn. */
const troubles: ((index: number) => LineLog)[] = [
  // A finding that is clear now, in a cat near her limit.
  (index) => {
    const log = steady(index, { patient: { species: 'cat', weightKg: 4 }, site: 'median caudal' }, '18:30');
    log.entries[0]!.at = day('13:00');
    log.entries[0]!.told = day('13:00');
    log.entries.splice(1, log.entries.length, ...log.entries.slice(1).filter(({ at }) => at >= day('13:00')));
    return log
      .add('zeroed', day('13:05'), {})
      .add('fastFlushTested', day('13:06'), { verdict: 'normal', heartRatePerMin: 120 })
      .add('siteChecked', day('16:20'), { finding: { cold: true } })
      .add('siteChecked', day('16:50'), { finding: {} });
  },
  // Low pressures in the afternoon, with targets that end in the night.
  (index) =>
    steady(index, {}, '18:30')
      .add('reading', day('14:05'), { sapMmHg: 78, dapMmHg: 41, mapMmHg: 52, heartRatePerMin: 150 })
      .add('reading', day('14:40'), { sapMmHg: 104, dapMmHg: 55, mapMmHg: 71, heartRatePerMin: 130 })
      .add(
        'targetsSet',
        day('14:10'),
        { mapMmHg: { low: 65 }, reason: 'septic', until: wall('02:00') },
        { by: 'vet' },
      ),
  // A flat trace that was solved.
  (index) =>
    steady(index, pumped, '18:30')
      .add('faultOpened', day('15:10'), { sign: 'flat' })
      .add('faultStep', day('15:12'), { step: 'flat.patient', answer: 'well' })
      .add('faultStep', day('15:13'), { step: 'flat.limb', answer: 'good' })
      .add('faultStep', day('15:14'), { step: 'flat.kink', answer: 'freed' })
      .add('faultStep', day('15:15'), { step: 'flat.kink.fixed', answer: 'solved' })
      .add('faultClosed', day('15:15'), { resolved: true, sign: 'flat', byPath: true })
      .add('zeroed', day('15:20'), {})
      .add('fastFlushTested', day('15:21'), { verdict: 'normal', heartRatePerMin: 120 }),
  // Not flushed since before five, of an animal that may bleed.
  (index) => steady(index, { patient: { bleeding: true } }, '16:55'),
];

/** `count` lines at 18:45, every third of them with trouble; the others flushed by hand or, each third, by a pump. */
export function nastyWard(count: number): LineLog[] {
  return Array.from({ length: count }, (_, index) => {
    const trouble = index % 3 === 0 ? troubles[(index / 3) % troubles.length] : undefined;
    if (trouble) return trouble(index);
    return steady(index, index % 3 === 1 ? pumped : {}, '18:30');
  });
}
