import { PDFDocument } from "pdf-lib";
import { PageFlow } from "./page-flow.ts";
import type { ReportDocument } from "./report-document.ts";

/** Draw a document as PDF. Equal documents give equal bytes: no clock is read. */
export async function drawReport(report: ReportDocument): Promise<Uint8Array> {
  const pdf = await PDFDocument.create({ updateMetadata: false });
  const made = new Date(report.madeAt);
  pdf.setTitle(`${report.title}: ${report.subtitle}`);
  pdf.setCreator("Raintrip");
  pdf.setProducer("Raintrip");
  pdf.setCreationDate(made);
  pdf.setModificationDate(made);
  const flow = await PageFlow.on(pdf);
  flow.text(report.title, { size: 18, bold: true });
  flow.text(report.subtitle, { size: 12, after: 8 });
  flow.table({
    columns: [
      { head: "", share: 1 },
      { head: "", share: 3 },
    ],
    rows: report.facts,
  });
  for (const section of report.sections) {
    flow.heading(section.heading);
    for (const paragraph of section.paragraphs) flow.text(paragraph, { size: 9, after: 3 });
    if (section.table && section.table.rows.length > 0) flow.table(section.table);
    for (const paragraph of section.after ?? []) flow.text(paragraph, { size: 9, after: 3 });
  }
  flow.feet(report.footer);
  return pdf.save();
}
