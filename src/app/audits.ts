import type { Period } from '../domain/audit/line-course.ts';
import type { WardAudit } from '../domain/audit/ward-audit.ts';

/** A picture of an audit as PNG, and the words for who cannot see it. */
export interface AuditPicture {
  fileName: string;
  title: string;
  pngBytes: Uint8Array;
  altText: string;
}

/** An audit with its pictures. */
export interface Audited {
  audit: WardAudit;
  /** Of the ward's part; none where nothing was in, or they could not be drawn. */
  pictures: AuditPicture[];
  /**
   * Of each person's learning curve, by user id: for that person and the ward lead alone. Of many people only of those who tried
   * last; whoever shows them says so.
   */
  curvePictures: Readonly<Record<string, AuditPicture>>;
}

/** How far a count is. */
export interface AuditProgress {
  linesDone: number;
  lines: number;
}

/** The audit could not be made; the message is a sentence for whoever asked. */
export class AuditFailed extends Error {
  override name = 'AuditFailed';
}

/** Makes audits somewhere that holds up nobody's answer. */
export interface Audits {
  /**
   * The audit of a ward's whole record over a period that ends no later than now. `progress` hears now and then how far it
   * is. Whoever asks for the same while it is being made shares it. `keptWillDo`: one made in the last ten minutes will do as
   * well, and a failure of the last minute is heard again. Throws `AuditFailed`.
   */
  of(
    wardId: string,
    period: Period,
    asked?: { progress?: (progress: AuditProgress) => void; keptWillDo?: boolean },
  ): Promise<Audited>;
}
