import type { StripFindings } from '../../domain/strip/strip-findings.ts';
import { capital } from '../care/duty-words.ts';
import { rich } from '../rich-text.ts';
import { stripSentence } from './strip-sentence.ts';

/** What was read from a strip: the sentence, why the verdict, and what else a reader asks. */
export function stripWords(findings: StripFindings): string {
  const { beats, notch, because, notes, faults, patient, excursions } = findings;
  // What says most of the animal stands first: the beats, a stretch without a pulse, then what is doubted.
  const first = [
    ...patient.map(({ says }) => says),
    ...excursions.map(({ says }) => says),
    ...faults.filter(({ says }) => says !== because).map(({ says }) => says),
  ];
  const more = [
    beats &&
      `Pulse pressure ${Math.round(beats.pulseMmHg)} mmHg, from beat to beat ${Math.round(beats.pulseFromMmHg)} to ${Math.round(beats.pulseToMmHg)} mmHg (described, not interpreted).`,
    notch.notch === 'cannot tell' ? 'Dicrotic notch: cannot tell.' : `Dicrotic notch ${notch.notch}.`,
    ...notes,
  ].filter((text) => typeof text === 'string');
  return [
    rich`*${stripSentence(findings)}*`,
    ...first.map((says) => says),
    `${capital(because)}`,
    more.join(' '),
  ].join('\n');
}
