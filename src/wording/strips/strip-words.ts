import type { StripFindings } from '../../domain/strip/strip-findings.ts';
import { capital } from '../care/duty-words.ts';
import { rich } from '../rich-text.ts';
import { excursionText, faultText, noteText, patientText } from './strip-finding-words.ts';
import { stripSentence } from './strip-sentence.ts';
import { reasonText } from './verdict-reasons.ts';

/** What was read from a strip: the sentence, why the verdict, and what else a reader asks. */
export function stripWords(findings: StripFindings): string {
  const { beats, notch, because, notes, faults, patient, excursions } = findings;
  const reason = reasonText(because);
  // What says most of the animal stands first: the beats, a stretch without a pulse, then what is doubted.
  const first = [
    ...patient.map(patientText),
    ...excursions.map(excursionText),
    ...faults.map(faultText).filter((text) => text !== reason),
  ];
  const more = [
    beats &&
      `Pulse pressure ${Math.round(beats.pulseMmHg)} mmHg, from beat to beat ${Math.round(beats.pulseFromMmHg)} to ${Math.round(beats.pulseToMmHg)} mmHg (described, not interpreted).`,
    notch.notch === 'cannot tell' ? 'Dicrotic notch: cannot tell.' : `Dicrotic notch ${notch.notch}.`,
    ...notes.map(noteText),
  ].filter((text) => typeof text === 'string');
  return [rich`*${stripSentence(findings)}*`, ...first, capital(reason), more.join(' ')].join('\n');
}
