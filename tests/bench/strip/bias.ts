import { readStrip } from '../../../src/domain/strip/strip-findings.ts';
import { type SimulatedStripOptions, simulatedStrip } from '../../support/simulated-strip.ts';
import { type Agreement, agreementOf, agreementWords, worstOf } from './agreement.ts';

// Bias and limits of agreement by rate, damping and noise; printed as it is imported.
const say = (line = '') => void process.stdout.write(`${line}\n`);

const rates = [40, 60, 100, 160, 220, 260];
const dampings = [0.1, 0.2, 0.4, 0.6, 0.8, 1.2];
const noisesMmHg = [0.3, 1, 2];
const naturalsHz = [10, 18, 30];
const seeds = [901, 902, 903, 904];
const samplesPerS = 250;
const seconds = 20;

const pressureNames = ['SAP', 'DAP', 'MAP', 'rate'] as const;
type PressureName = (typeof pressureNames)[number];

/** All made strips of one rate, damping and noise. */
interface Cell {
  ratePerMin: number;
  damping: number;
  noiseMmHg: number;
  strips: number;
  unread: number;
  differences: Record<PressureName, number[]>;
  dampingOff: number[];
  naturalOffPercent: number[];
  noRinging: number;
  cannotTell: number;
  /** Verdicts that name the wrong side although told as fairly sure. */
  surelyWrong: number;
}

function measured(ratePerMin: number, damping: number, noiseMmHg: number): Cell {
  const cell: Cell = {
    ratePerMin,
    damping,
    noiseMmHg,
    strips: 0,
    unread: 0,
    differences: { SAP: [], DAP: [], MAP: [], rate: [] },
    dampingOff: [],
    naturalOffPercent: [],
    noRinging: 0,
    cannotTell: 0,
    surelyWrong: 0,
  };
  for (const naturalHz of naturalsHz) {
    for (const seed of seeds) {
      const { strip, shown } = simulatedStrip({
        seed: seed + ratePerMin,
        seconds,
        samplesPerS,
        ratePerMin,
        line: { naturalHz, damping },
        noiseMmHg,
        irregularity: 0.02,
        flush: { atS: 8 + (seed % 10) * 0.137, lengthS: 1, bagMmHg: 290 },
      });
      const { beats, flushes, verdict, confidence } = readStrip(strip).findings;
      cell.strips += 1;
      if (beats === null) cell.unread += 1;
      else {
        cell.differences.SAP.push(beats.sapMmHg - shown.sapMmHg);
        cell.differences.DAP.push(beats.dapMmHg - shown.dapMmHg);
        cell.differences.MAP.push(beats.mapMmHg - shown.mapMmHg);
        cell.differences.rate.push(beats.ratePerMin - shown.ratePerMin);
      }
      const test = flushes[0]?.test;
      if (test?.measured === 'ringing') {
        cell.dampingOff.push(test.damping.value - damping);
        cell.naturalOffPercent.push(100 * (test.naturalHz.value / naturalHz - 1));
      } else if (test?.measured === 'no ringing') cell.noRinging += 1;
      else cell.cannotTell += 1;
      const wrongSide =
        (damping >= 0.6 && verdict === 'spiky (underdamped)') ||
        (damping <= 0.4 && verdict === 'flat (overdamped)');
      if (wrongSide && confidence === 'fairly sure') cell.surelyWrong += 1;
    }
  }
  return cell;
}

const line = (cells: readonly (string | number)[]) => `| ${cells.join(' | ')} |`;
const head = (names: readonly string[]) => `${line(names)}\n${line(names.map(() => '---'))}`;
const nameOf = ({ ratePerMin, damping, noiseMmHg }: Cell) =>
  `${ratePerMin} /min, damping ${damping}, noise ${noiseMmHg} mmHg`;
const worstCell = (cells: readonly Cell[], of: (cell: Cell) => Agreement | null) =>
  cells.reduce((worst, cell) => (worstOf(of(cell)) > worstOf(of(worst)) ? cell : worst));

const cells = rates.flatMap((rate) =>
  dampings.flatMap((damping) => noisesMmHg.map((noise) => measured(rate, damping, noise))),
);
const all = (pick: (cell: Cell) => readonly number[], of: readonly Cell[] = cells) =>
  agreementOf(of.flatMap(pick));
const total = (pick: (cell: Cell) => number) => cells.reduce((sum, cell) => sum + pick(cell), 0);
const ringing = cells.filter(({ damping }) => damping <= 0.6);

say(
  `${total(({ strips }) => strips)} made strips: ${seconds} s at ${samplesPerS} Hz, true 120/75 mmHg, one fast flush of 1 s to 290 mmHg, intervals varying by 2 %, breathing of ±1.5 mmHg; natural frequencies ${naturalsHz.join(', ')} Hz, ${seeds.length} seeds. Each cell: bias (95 % limits of agreement), read less shown.`,
);
say();
say('### All together, and the worst cell');
say();
say(head(['what', 'bias (limits of agreement)', 'worst cell', 'there']));
for (const name of pressureNames) {
  const of = (cell: Cell) => agreementOf(cell.differences[name]);
  const worst = worstCell(cells, of);
  const unit = name === 'rate' ? '/min' : 'mmHg';
  say(
    line([
      `${name}, ${unit}`,
      agreementWords(
        all((cell) => cell.differences[name]),
        2,
      ),
      nameOf(worst),
      agreementWords(of(worst), 2),
    ]),
  );
}
const dampingOf = (cell: Cell) => agreementOf(cell.dampingOff);
const naturalOf = (cell: Cell) => agreementOf(cell.naturalOffPercent);
const [worstDamping, worstNatural] = [worstCell(ringing, dampingOf), worstCell(ringing, naturalOf)];
say(
  line([
    'damping, lines of 0.1 to 0.6',
    agreementWords(
      all(({ dampingOff }) => dampingOff, ringing),
      3,
    ),
    nameOf(worstDamping),
    agreementWords(dampingOf(worstDamping), 3),
  ]),
);
say(
  line([
    'natural frequency, %, lines of 0.1 to 0.6',
    agreementWords(
      all(({ naturalOffPercent }) => naturalOffPercent, ringing),
      1,
    ),
    nameOf(worstNatural),
    agreementWords(naturalOf(worstNatural), 1),
  ]),
);
say();
say(
  `Beats not read at all: ${total(({ unread }) => unread)}. Flush not measured ("cannot tell"): ${total(({ cannotTell }) => cannotTell)}. Wrong side told as "fairly sure": ${total(({ surelyWrong }) => surelyWrong)}.`,
);
say();
const minute = simulatedStrip({ seconds: 60 }).strip;
const lasted = Array.from({ length: 20 }, () => {
  const began = performance.now();
  readStrip(minute);
  return performance.now() - began;
}).toSorted((a, b) => a - b);
say(
  `Reading 60 s at 250 Hz, 20 times on the machine that made this page: median ${lasted[10]?.toFixed(0)} ms, slowest ${lasted[19]?.toFixed(0)} ms.`,
);
say();
say('### By damping of the line');
say();
say(
  head([
    'damping',
    'SAP mmHg',
    'DAP mmHg',
    'MAP mmHg',
    'damping read less true',
    'natural frequency, %',
    'ringing / no ringing / cannot tell',
  ]),
);
for (const damping of dampings) {
  const own = cells.filter((cell) => cell.damping === damping);
  const count = (pick: (cell: Cell) => number) => own.reduce((sum, cell) => sum + pick(cell), 0);
  say(
    line([
      damping,
      ...(['SAP', 'DAP', 'MAP'] as const).map((name) =>
        agreementWords(
          all((cell) => cell.differences[name], own),
          2,
        ),
      ),
      agreementWords(
        all(({ dampingOff }) => dampingOff, own),
        3,
      ),
      agreementWords(
        all(({ naturalOffPercent }) => naturalOffPercent, own),
        1,
      ),
      `${count(({ dampingOff }) => dampingOff.length)} / ${count(({ noRinging }) => noRinging)} / ${count(({ cannotTell }) => cannotTell)}`,
    ]),
  );
}
say();
say('### A valve that shuts slowly, an uneven rhythm, few samples: 100 /min, noise 0.3 mmHg');
say();
say(
  head([
    'strip',
    'true damping',
    'damping read less true',
    'natural frequency, %',
    'ringing / no ringing / cannot tell',
    'wrong side, told as sure',
  ]),
);
const hard: readonly [name: string, options: SimulatedStripOptions, shutsMs: number][] = [
  ['valve shuts in 20 ms', {}, 20],
  ['valve shuts in 50 ms', {}, 50],
  ['intervals vary by 10 %', { irregularity: 0.1 }, 0],
  ['intervals vary by 25 %', { irregularity: 0.25 }, 0],
  ['60 samples a second', { samplesPerS: 60 }, 0],
  ['125 samples a second', { samplesPerS: 125 }, 0],
  ['1000 samples a second', { samplesPerS: 1000 }, 0],
];
for (const [name, options, shutsMs] of hard) {
  for (const damping of [0.15, 0.4, 0.6]) {
    const [dampingOff, naturalOff]: [number[], number[]] = [[], []];
    let [noRinging, cannotTell, surelyWrong] = [0, 0, 0];
    // At 0.4 the regions meet, so no side is wrong there.
    const right = damping < 0.2 ? 'spiky (underdamped)' : damping > 0.5 ? 'normal' : null;
    for (const naturalHz of naturalsHz) {
      for (const seed of seeds) {
        const flush = { atS: 8 + (seed % 10) * 0.137, lengthS: 1, bagMmHg: 290, shutsMs };
        const line_ = { naturalHz, damping };
        const { strip } = simulatedStrip({
          seed,
          seconds,
          samplesPerS,
          ratePerMin: 100,
          line: line_,
          flush,
          ...options,
        });
        const { flushes, verdict, confidence } = readStrip(strip).findings;
        if (right !== null && confidence === 'fairly sure' && verdict !== right) surelyWrong += 1;
        const test = flushes[0]?.test;
        if (test?.measured === 'ringing') {
          dampingOff.push(test.damping.value - damping);
          naturalOff.push(100 * (test.naturalHz.value / naturalHz - 1));
        } else if (test?.measured === 'no ringing') noRinging += 1;
        else cannotTell += 1;
      }
    }
    say(
      line([
        name,
        damping,
        agreementWords(agreementOf(dampingOff), 3),
        agreementWords(agreementOf(naturalOff), 1),
        `${dampingOff.length} / ${noRinging} / ${cannotTell}`,
        right === null ? '–' : surelyWrong,
      ]),
    );
  }
}
say();
say('### Every cell');
say();
say(
  head([
    'rate /min',
    'damping',
    'noise mmHg',
    'SAP mmHg',
    'DAP mmHg',
    'MAP mmHg',
    'rate /min',
    'damping',
    'natural frequency, %',
  ]),
);
for (const cell of cells) {
  say(
    line([
      cell.ratePerMin,
      cell.damping,
      cell.noiseMmHg,
      ...pressureNames.map((name) => agreementWords(agreementOf(cell.differences[name]), 2)),
      agreementWords(dampingOf(cell), 3),
      agreementWords(naturalOf(cell), 1),
    ]),
  );
}
