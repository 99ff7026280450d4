import PDFDocument from 'pdfkit';
import { bold, regular } from './fonts.ts';

/** One page for paper: a title, then parts that are each a heading with text, points, or both. Plain text. */
export interface PaperPage {
  title: string;
  sections: readonly {
    title: string;
    text?: string;
    points?: readonly { what: string; said: string }[];
  }[];
  /** Small, below all: what the page is and of when. */
  foot: string;
}

/** Points (1/72 inch). Text of 11.5 is read at arm's length; A4 is 595 by 842. */
const size = { title: 22, heading: 13, text: 11.5, small: 9 } as const;
const marginPt = 62;
const indentPt = 12;

/**
 * The page as a PDF of A4: its fonts within, so that it prints the same from any phone, and tagged with what is a heading and
 * what a list, for screen readers. `nowMs`: when it is made. Text that does not fit goes on to a second page.
 */
export function a4Pdf(page: PaperPage, nowMs: number): Promise<Uint8Array> {
  return a4Document({ title: page.title, marginPt, nowMs }, (doc) => write(doc, page));
}

export type Doc = InstanceType<typeof PDFDocument>;

/** A document of A4 pages that `draw` fills: tagged, with its fonts within. */
export function a4Document(
  about: { title: string; marginPt: number; nowMs: number },
  draw: (doc: Doc) => void,
): Promise<Uint8Array> {
  const doc = new PDFDocument({
    size: 'A4',
    margin: about.marginPt,
    font: regular,
    tagged: true,
    lang: 'en-GB',
    displayTitle: true,
    pdfVersion: '1.7',
    info: {
      Title: about.title,
      Producer: 'Dicrotic',
      Creator: 'Dicrotic',
      CreationDate: new Date(about.nowMs),
    },
  });
  const made = new Promise<Uint8Array>((resolve, reject) => {
    const pieces: Uint8Array[] = [];
    doc.on('data', (piece: Uint8Array) => pieces.push(piece));
    doc.on('end', () => resolve(new Uint8Array(Buffer.concat(pieces))));
    doc.on('error', reject);
  });
  draw(doc);
  doc.end();
  return made;
}

function write(doc: Doc, { title, sections, foot }: PaperPage): void {
  const whole = doc.struct('Document');
  doc.addStructure(whole);
  /** Writes within a tag of its own, so that a reader hears what it is. */
  const tagged = (tag: string, draw: () => void) => whole.add(doc.struct(tag, {}, draw));
  tagged('H1', () => doc.font(bold).fontSize(size.title).text(title));
  for (const section of sections) {
    tagged('H2', () => {
      doc.moveDown(0.9).font(bold).fontSize(size.heading).text(section.title);
      doc.moveDown(0.25);
    });
    const { points = [], text } = section;
    if (points.length > 0) {
      const list = doc.struct('L');
      whole.add(list);
      for (const point of points) list.add(doc.struct('LI', {}, () => writePoint(doc, point)));
      list.end();
    }
    if (text) tagged('P', () => doc.font(regular).fontSize(size.text).text(text, { lineGap: 2 }));
  }
  tagged('P', () => doc.moveDown(1.5).font(regular).fontSize(size.small).text(foot));
  whole.end();
}

function writePoint(doc: Doc, { what, said }: { what: string; said: string }): void {
  const left = doc.page.margins.left;
  const isMark = what.startsWith('[');
  doc
    .font(bold)
    .fontSize(size.text)
    .text(isMark ? `${what} ` : `${what}: `, left + indentPt, doc.y, { continued: true, lineGap: 2 })
    .font(regular)
    .text(said, { lineGap: 2 });
  doc.x = left;
  doc.moveDown(0.3);
}
