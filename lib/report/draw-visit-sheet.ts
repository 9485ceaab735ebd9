import { beginReport } from "./begin-report.ts";
import { drawCheckPages } from "./check-pages.ts";
import type { PageFlow } from "./page-flow.ts";
import { drawPhotoPages } from "./photo-pages.ts";
import type { SheetSignature, VisitSheet } from "./visit-sheet.ts";

/**
 * Draw a checklist or the report of a visit as PDF: first what holds for the whole visit, with the signatures, then a
 * page for every ten checks, then the photos, four a page. Equal sheets give equal bytes: no clock is read.
 */
export async function drawVisitSheet(sheet: VisitSheet): Promise<Uint8Array> {
  const { pdf, faces, flow } = await beginReport(sheet, sheet.cover);
  drawSignatures(flow, sheet.signatures);
  drawCheckPages(pdf, faces, sheet);
  await drawPhotoPages(pdf, faces, sheet.photos);
  flow.feet(sheet.footer);
  return pdf.save();
}

function drawSignatures(flow: PageFlow, signatures: readonly SheetSignature[]): void {
  flow.heading("Sign-off", 170);
  flow.text("What was not checked is a gap, not a pass. The local authority and licensed practice decide.", {
    size: 9,
    after: 4,
  });
  if (signatures.length === 0) {
    for (const label of ["Name", "Licence", "Date, time and zone", "Signature"]) flow.blank(label);
    return;
  }
  for (const { name, licence, when, says } of signatures) {
    flow.text(`Signed by ${name}, licence ${licence}, ${when}.${says ? ` ${says}` : ""}`, { size: 9, after: 3 });
  }
}
