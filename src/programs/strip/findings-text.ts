import type { DicroticNotch } from '../../domain/strip/dicrotic-notch.ts';
import type { FlushFinding } from '../../domain/strip/judge-line.ts';
import type { StripFindings } from '../../domain/strip/strip-findings.ts';
import { regionsLabel } from '../../wording/care/response-words.ts';
import { excursionText, faultText, noteText, patientText } from '../../wording/strips/strip-finding-words.ts';
import { stripSentence } from '../../wording/strips/strip-sentence.ts';
import { reasonText } from '../../wording/strips/verdict-reasons.ts';

const whole = (value: number) => String(Math.round(value));

function notchWords(notch: DicroticNotch): string {
  if (notch.notch === 'present') return 'present';
  return notch.notch === 'absent' ? 'absent' : `cannot tell (${notch.because})`;
}

function flushWords({ releasedAtS, plateauMmHg, test }: FlushFinding): string {
  const at = `at ${releasedAtS.toFixed(1)} s, from ${whole(plateauMmHg)} mmHg`;
  switch (test.measured) {
    case 'ringing': {
      const { ringingHz, damping, naturalHz, swingsMmHg, periodS, dampingFrom } = test;
      const swings =
        swingsMmHg.length === 0 ? '' : `; swings ${swingsMmHg.slice(0, 4).map(whole).join(', ')} mmHg`;
      return `${at}: period ${whole(1000 * periodS)} ms (${ringingHz.toFixed(1)} Hz)${swings}; damping ${damping.value.toFixed(2)} (${damping.low.toFixed(2)} to ${damping.high.toFixed(2)}, from ${dampingFrom}); natural frequency ${naturalHz.value.toFixed(1)} Hz (${naturalHz.low.toFixed(1)} to ${naturalHz.high.toFixed(1)})`;
    }
    case 'no ringing':
      return `${at}: no ringing; damping about ${test.dampingAtLeast.toFixed(1)} or more; falls in ${whole(test.fallMs)} ms`;
    case 'cannot tell':
      return `${at}: cannot be measured (${test.because})`;
  }
}

/** Findings of a strip as lines of plain text for a terminal: the sentence first, then each finding with its unit. */
export function findingsText(findings: StripFindings): string {
  const {
    beats,
    faults,
    patient,
    excursions,
    notch,
    flushes,
    verdict,
    confidence,
    because,
    likelyErrorMmHg,
    notes,
  } = findings;
  const lines = [stripSentence(findings), ''];
  for (const note of notes) lines.push(`Note: ${noteText(note)}`);
  for (const fault of faults) lines.push(`Fault: ${faultText(fault)}`);
  for (const finding of patient) lines.push(`Patient: ${patientText(finding)}`);
  for (const one of excursions) lines.push(`Left out: ${excursionText(one)}`);
  if (beats) {
    lines.push(
      `Systolic (SAP) ${whole(beats.sapMmHg)} mmHg, diastolic (DAP) ${whole(beats.dapMmHg)} mmHg, mean (MAP) ${whole(beats.mapMmHg)} mmHg; ${beats.count} whole beats.`,
      `Rate ${whole(beats.ratePerMin)} /min, ${beats.rhythm} (intervals vary by ${whole(100 * beats.intervalVariation)} %).`,
      `Pulse pressure ${whole(beats.pulseMmHg)} mmHg, from ${whole(beats.pulseFromMmHg)} to ${whole(beats.pulseToMmHg)} mmHg from beat to beat.`,
    );
  }
  lines.push(`Dicrotic notch: ${notchWords(notch)}.`);
  if (flushes.length === 0) lines.push('Fast flush: none found.');
  for (const flush of flushes) lines.push(`Fast flush ${flushWords(flush)}.`);
  const sure = confidence === 'no verdict' ? '' : ` (${confidence}; ${regionsLabel})`;
  lines.push(`Verdict: ${verdict}${sure}. ${reasonText(because)}`);
  if (likelyErrorMmHg && verdict !== 'cannot tell') {
    const by = (mmHg: number) =>
      Math.abs(mmHg) < 0.5 ? 'about right' : `${whole(Math.abs(mmHg))} mmHg too ${mmHg > 0 ? 'high' : 'low'}`;
    lines.push(
      `Likely reads: SAP ${by(likelyErrorMmHg.sapMmHg)}, DAP ${by(likelyErrorMmHg.dapMmHg)}. An estimate.`,
    );
  }
  lines.push('', 'A reading aid, not a monitor: look at the animal, not at this alone.');
  return `${lines.join('\n')}\n`;
}
