import { beginReport } from "./begin-report.ts";
import type { ReportDocument } from "./report-document.ts";

/** Draw a document as PDF. Equal documents give equal bytes: no clock is read. */
export async function drawReport(report: ReportDocument): Promise<Uint8Array> {
  const { pdf, flow } = await beginReport(report, report.sections);
  flow.feet(report.footer);
  return pdf.save();
}
