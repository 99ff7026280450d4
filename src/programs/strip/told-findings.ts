import type { RegionVerdict } from '../../domain/dynamic-response/regions.ts';
import type { StripFindings } from '../../domain/strip/strip-findings.ts';
import { regionWords } from '../../wording/care/response-words.ts';
import { excursionText, faultText, noteText, patientText } from '../../wording/strips/strip-finding-words.ts';
import { reasonText } from '../../wording/strips/verdict-reasons.ts';

function toldRegion(verdict: RegionVerdict) {
  const { region, damping, frequency, wantedHz } = verdict;
  return { region, damping, frequency, wantedHz, says: regionWords(verdict) };
}

/** Findings of a strip for a program that reads them: each by its name, with its sentence. */
export function toldFindings(findings: StripFindings) {
  return {
    ...findings,
    notes: findings.notes.map(noteText),
    faults: findings.faults.map((one) => ({ fault: one.fault, hides: one.hides, says: faultText(one) })),
    patient: findings.patient.map((one) => ({ finding: one.finding, says: patientText(one) })),
    flushes: findings.flushes.map((one) => ({ ...one, region: one.region && toldRegion(one.region) })),
    excursions: findings.excursions.map((one) => ({ ...one, says: excursionText(one) })),
    because: reasonText(findings.because),
  };
}
