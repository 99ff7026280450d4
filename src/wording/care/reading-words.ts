import type { WardPolicy } from '../../domain/policy/ward-policy.ts';
import { beyondAt } from '../../domain/reading/beyond-limits.ts';
import { cuffDifference } from '../../domain/reading/cuff-difference.ts';
import { pulsePressureMmHg, reckonedMeanMmHg } from '../../domain/reading/plausibility.ts';
import type { LineState } from '../../domain/record/line-state.ts';
import { capital, listed } from './duty-words.ts';
import { limitWords } from './finding-words.ts';
import { trustWords } from './trust-words.ts';

/** What a reading comes to: pulse pressure, the mean where none was read, cuff, the ward's limits, and whether to believe it. */
export function readingFoundWords(line: LineState, policy: WardPolicy): string {
  const { reading } = line;
  if (!reading) return '';
  const mean =
    reading.mapMmHg === undefined ? `; mean ${Math.round(reckonedMeanMmHg(reading))} mmHg (reckoned)` : '';
  const limits = beyondAt(reading, reading.at, line, policy).map(
    (one) => `${one.what} ${one.side} ${limitWords(one)}`,
  );
  return [
    limits.length > 0 ? `${capital(listed(limits))} mmHg: look at the patient now.` : '',
    limits.length > 0 && line.removed
      ? 'The line is out, so nobody is called: call the clinician yourself if it is still so.'
      : '',
    `Pulse pressure ${pulsePressureMmHg(reading)} mmHg${mean}.`,
    cuffWords(line),
    `${capital(trustWords(line, policy))}.`,
  ]
    .filter((words) => words !== '')
    .join(' ');
}

function cuffWords({ reading }: LineState): string {
  if (!reading?.cuff) return '';
  const { sapMmHg, dapMmHg, mapMmHg } = cuffDifference(reading, reading.cuff);
  const each = (
    [
      ['systolic', sapMmHg],
      ['diastolic', dapMmHg],
      ['mean', mapMmHg],
    ] as const
  ).flatMap(([what, mmHg]) => {
    if (mmHg === null) return [];
    return [mmHg === 0 ? `${what} the same` : `${what} ${Math.abs(mmHg)} ${mmHg > 0 ? 'above' : 'below'}`];
  });
  return each.length === 0 ? '' : `Line against cuff: ${listed(each)} mmHg.`;
}
