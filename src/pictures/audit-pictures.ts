import type { LearningCurve } from '../domain/audit/learning-curve.ts';
import type { LinesAudit } from '../domain/audit/lines-audit.ts';
import type { CusumRates } from '../domain/statistics/cusum.ts';
import { pictureOf } from './drawn.ts';
import { careSheet, complicationsSheet, pulseSheet, remindersSheet } from './figure-sheets.ts';
import { learningCurveSheet } from './learning-curve-sheet.ts';
import type { Picture, Sheet } from './picture.ts';
import { survivalSheet } from './survival-sheet.ts';

/** What an audit's pictures show, in the order they are read; what there is nothing to show of is left out. */
export function auditSheets(audit: LinesAudit): Sheet[] {
  return [
    survivalSheet(audit.bySpecies),
    complicationsSheet(audit),
    careSheet(audit),
    remindersSheet(audit.alerts),
    pulseSheet(audit.pulseAfterRemoval),
  ].filter((sheet) => sheet !== null);
}

/** The pictures of an audit as PNG, 1080 px wide, each with its words; none of a ward without lines. */
export function auditPictures(audit: LinesAudit): Picture[] {
  return auditSheets(audit).map(pictureOf);
}

/** One person's learning curve as PNG, 1080 px wide, with its words and without the person's name. */
export function learningCurvePicture(curve: LearningCurve, rates: CusumRates): Picture {
  return pictureOf(learningCurveSheet(curve, rates));
}
