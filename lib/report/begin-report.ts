import { PDFDocument } from "pdf-lib";
import { embedFaces, type Faces } from "./embed-faces.ts";
import { PageFlow } from "./page-flow.ts";
import type { ReportDocument } from "./report-document.ts";

/** What every drawn document begins with: properties that depend on nothing but itself, title, facts, sections. */
export async function beginReport(
  report: Pick<ReportDocument, "title" | "subtitle" | "madeAt" | "facts">,
  sections: ReportDocument["sections"],
): Promise<{ pdf: PDFDocument; faces: Faces; flow: PageFlow }> {
  const pdf = await PDFDocument.create({ updateMetadata: false });
  const made = new Date(report.madeAt);
  pdf.setTitle(`${report.title}: ${report.subtitle}`);
  pdf.setCreator("Raintrip");
  pdf.setProducer("Raintrip");
  pdf.setCreationDate(made);
  pdf.setModificationDate(made);
  const faces = await embedFaces(pdf);
  const flow = await PageFlow.on(pdf, faces);
  flow.text(report.title, { size: 18, bold: true });
  flow.text(report.subtitle, { size: 12, after: 8 });
  flow.table({
    columns: [
      { head: "", share: 1 },
      { head: "", share: 3 },
    ],
    rows: report.facts,
  });
  for (const section of sections) {
    flow.heading(section.heading);
    for (const paragraph of section.paragraphs) flow.text(paragraph, { size: 9, after: 3 });
    if (section.table && section.table.rows.length > 0) flow.table(section.table);
    for (const paragraph of section.after ?? []) flow.text(paragraph, { size: 9, after: 3 });
  }
  return { pdf, faces, flow };
}
