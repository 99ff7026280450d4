import type { WardSheet } from '../wording/handover/handover-sheet.ts';
import { a4Document, type Doc } from './a4-page.ts';
import { bold, regular } from './fonts.ts';

/** Points (1/72 inch); A4 is 595 by 842. Boxes are large enough for a pen. */
const marginPt = 34;
const size = { title: 16, heading: 12, text: 10, name: 9.5, small: 7, letters: 7.5 } as const;
const nameWidthPt = 118;
const boxPt = 8;
/** Visits side by side; more go on in a second grid. */
const mostVisits = 14;
/** Up to so many lines rows are high enough to write in. */
const roomyRows = 22;

/** The sheet as a PDF of A4, one page or two: up to some 20 lines with what to watch take one. */
export function wardSheetPdf(sheet: WardSheet, nowMs: number): Promise<Uint8Array> {
  return a4Document({ title: sheet.title, marginPt, nowMs }, (doc) => {
    const whole = doc.struct('Document');
    doc.addStructure(whole);
    const tagged: Tagged = (tag, draw) => whole.add(doc.struct(tag, {}, draw));
    tagged('H1', () => doc.font(bold).fontSize(size.title).text(sheet.title));
    for (const line of sheet.lead)
      tagged('P', () => doc.font(regular).fontSize(size.text).text(line, { lineGap: 1 }));
    if (sheet.watch.length > 0) {
      tagged('H2', () => heading(doc, sheet.watchTitle));
      for (const one of sheet.watch) tagged('P', () => watchRow(doc, one));
    }
    drawGrid(doc, sheet.grid, tagged);
    for (const note of sheet.notes)
      tagged('P', () =>
        doc
          .font(regular)
          .fontSize(size.text - 1)
          .text(note, { lineGap: 1 }),
      );
    tagged('P', () =>
      doc
        .moveDown(0.4)
        .font(regular)
        .fontSize(size.small + 1)
        .text(sheet.foot),
    );
    whole.end();
  });
}

type Tagged = (tag: string, draw: () => void) => void;

/** The lines by their visits, as many of those side by side as fit. */
function drawGrid(doc: Doc, { visits, rows, title, key }: WardSheet['grid'], tagged: Tagged): void {
  const heightPt = rows.length > roomyRows ? 16.5 : 22;
  for (let from = 0; from < Math.max(1, visits.length); from += mostVisits) {
    // A heading does not stand alone at the foot of a page.
    if (doc.y + 60 + heightPt * Math.min(rows.length, 4) > bottomOf(doc)) doc.addPage();
    tagged('H2', () => heading(doc, from === 0 ? title : `${title}, continued`));
    tagged('P', () =>
      doc
        .font(regular)
        .fontSize(size.small + 1)
        .text(key)
        .moveDown(0.3),
    );
    drawSpan(doc, visits.slice(from, from + mostVisits), rows, from, heightPt, tagged);
  }
}

/** One span of visits: a row for each line, with the clock times above and again on each new page. */
function drawSpan(
  doc: Doc,
  span: readonly string[],
  rows: WardSheet['grid']['rows'],
  from: number,
  heightPt: number,
  tagged: Tagged,
): void {
  let y = doc.y;
  const header = () => {
    tagged('P', () => headerRow(doc, span, y));
    y += 14;
  };
  header();
  for (const { name, about, acts } of rows) {
    if (y + heightPt > bottomOf(doc)) {
      doc.addPage();
      y = marginPt;
      header();
    }
    const top = y;
    const shown = acts.slice(from, from + mostVisits);
    tagged('P', () => gridRow(doc, { name, about, acts: shown }, top, heightPt));
    y += heightPt;
  }
  rule(doc, y);
  doc.y = y + 6;
  doc.x = marginPt;
}

function bottomOf(doc: Doc): number {
  return doc.page.height - marginPt;
}

function heading(doc: Doc, text: string): void {
  doc.moveDown(0.5).font(bold).fontSize(size.heading).text(text).moveDown(0.15);
}

function box(doc: Doc, x: number, y: number): void {
  doc.lineWidth(0.8).rect(x, y, boxPt, boxPt).stroke('#000');
}

function rule(doc: Doc, y: number): void {
  doc
    .lineWidth(0.4)
    .moveTo(marginPt, y)
    .lineTo(doc.page.width - marginPt, y)
    .stroke('#888');
}

function watchRow(doc: Doc, { name, said }: { name: string; said: string }): void {
  const indent = boxPt + 6;
  const width = doc.page.width - 2 * marginPt - indent;
  const text = `${name}: ${said}`;
  if (doc.y + doc.font(regular).fontSize(size.text).heightOfString(text, { width }) > bottomOf(doc))
    doc.addPage();
  box(doc, marginPt, doc.y + 2);
  doc
    .fillColor('#000')
    .font(bold)
    .fontSize(size.text)
    .text(`${name}: `, marginPt + indent, doc.y, { width, continued: true, lineGap: 1 })
    .font(regular)
    .text(said, { width, lineGap: 1 })
    .moveDown(0.25);
  doc.x = marginPt;
}

function columnsOf(doc: Doc, count: number): number {
  return (doc.page.width - 2 * marginPt - nameWidthPt) / Math.max(1, count);
}

function headerRow(doc: Doc, visits: readonly string[], y: number): void {
  const width = columnsOf(doc, visits.length);
  doc.font(bold).fontSize(size.letters + 0.5);
  visits.forEach((clock, index) =>
    doc.text(clock, marginPt + nameWidthPt + index * width, y + 2, { width, lineBreak: false }),
  );
}

function gridRow(
  doc: Doc,
  { name, about, acts }: { name: string; about: string; acts: readonly string[] },
  y: number,
  heightPt: number,
): void {
  rule(doc, y);
  const inName = { width: nameWidthPt - 6, lineBreak: false, ellipsis: true, height: 12 };
  doc
    .fillColor('#000')
    .font(bold)
    .fontSize(size.name)
    .text(name, marginPt, y + 1.5, inName);
  doc
    .font(regular)
    .fontSize(size.small - 0.5)
    .text(about, marginPt, y + heightPt - 8, inName);
  const width = columnsOf(doc, acts.length);
  acts.forEach((letters, index) => {
    if (letters === '') return;
    const x = marginPt + nameWidthPt + index * width;
    box(doc, x, y + 3);
    doc
      .font(regular)
      .fontSize(size.letters)
      .text(letters, x + boxPt + 2, y + 3, { width: width - boxPt - 2, lineBreak: false });
  });
}
