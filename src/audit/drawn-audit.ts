import type { Audited, AuditPicture } from '../app/audits.ts';
import type { WardAudit } from '../domain/audit/ward-audit.ts';
import { auditPictures, learningCurvePicture } from '../pictures/audit-pictures.ts';
import type { Picture } from '../pictures/picture.ts';

/** People whose curve is drawn: those who tried last. */
const mostCurves = 30;

/** An audit with its pictures drawn. */
export function drawnAudit(audit: WardAudit): Audited {
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
