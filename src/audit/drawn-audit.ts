import type { Audited, AuditPicture } from '../app/audits.ts';
import type { WardAudit } from '../domain/audit/ward-audit.ts';
import { auditPictures, learningCurvePicture } from '../pictures/audit-pictures.ts';
import type { Picture } from '../pictures/picture.ts';

/** People whose curve is drawn unless more are asked for: each takes a while, and few readers want a hundred. */
const usualMostCurves = 30;

/** An audit with its pictures drawn; of learning curves those of the `mostCurves` who tried last. */
export function drawnAudit(audit: WardAudit, mostCurves = usualMostCurves): Audited {
  const recent = audit.practice
    .toSorted((a, b) => b.lastAttemptAt - a.lastAttemptAt)
    .slice(0, mostCurves)
    .map(({ by }) => by);
  return {
    audit,
    pictures: auditPictures(audit.lines).map(plainPicture),
    curvePictures: Object.fromEntries(
      audit.curves
        .filter(({ by }) => recent.includes(by))
        .map((curve) => [curve.by, plainPicture(learningCurvePicture(curve, audit.rates))]),
    ),
  };
}

/** The picture as it passes from thread to thread: bytes of its own, no buffer shared with others. */
function plainPicture({ fileName, title, pngBytes, altText }: Picture): AuditPicture {
  return { fileName, title, altText, pngBytes: new Uint8Array(pngBytes) };
}
