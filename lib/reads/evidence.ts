import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { drawReport } from "../report/draw-report.ts";
import { EVIDENCE_SCHEMA, EVIDENCE_SCHEMA_VERSION, type EvidenceContents } from "../report/evidence-manifest.ts";
import type { ReportDocument } from "../report/report-document.ts";
import type { PartSource } from "../report/write-evidence.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { auditPart } from "./audit-part.ts";
import { coverageParts } from "./evidence-coverage.ts";
import { evidenceDocument } from "./evidence-document.ts";
import { type EvidenceFacts, evidenceFacts } from "./evidence-facts.ts";
import { recordParts } from "./evidence-parts.ts";
import { handParts } from "./evidence-path.ts";
import { photoParts } from "./evidence-photos.ts";
import { readerUnits } from "./reader-units.ts";

export const SUMMARY_FILE = "evidence.pdf";
export const SCORE_FILE = "score.json";

export interface Evidence {
  about: Omit<EvidenceContents, "parts">;
  /** What the PDF shows. */
  document: ReportDocument;
  /** To be taken one after the other, while the snapshot is open. */
  parts: PartSource[];
}

/**
 * Everything that proves the state of one site, from one snapshot of the database.
 * @param use takes the parts; the snapshot lives until it is done
 * @throws AppError `not_found` for an unknown site, `busy` while it has no score yet
 */
export async function readEvidence<T>(
  actor: Actor,
  siteId: string,
  { madeAt, use }: { madeAt: number; use: (evidence: Evidence) => Promise<T> },
): Promise<T> {
  authorise(actor, "evidence.make");
  return readTransaction(actor, async (tx) => {
    const known = await tx`SELECT 1 FROM site WHERE account_id = current_account() AND site_id = ${siteId}`;
    if (known.length === 0) throw new AppError("not_found", { message: `There is no site "${siteId}".` });
    const facts = await evidenceFacts(tx, siteId, madeAt);
    if (!facts) throw new AppError("busy", { message: `Site "${siteId}" has no score yet. Try again in a minute.` });
    const document = evidenceDocument(facts, madeAt, await readerUnits(tx, actor));
    return use({ about: about(facts, madeAt), document, parts: partsOf(tx, facts, document) });
  });
}

function about({ site, version }: EvidenceFacts, madeAt: number): Evidence["about"] {
  return {
    schema: EVIDENCE_SCHEMA,
    schema_version: EVIDENCE_SCHEMA_VERSION,
    site_id: site.siteId,
    site_name: site.name,
    time_zone: site.timeZone,
    made_at: new Date(madeAt).toISOString(),
    as_of: version.as_of.toISOString(),
    parameter_version: version.parameter_version,
    code_version: version.code_version,
    input_hash: version.input_hash,
  };
}

function partsOf(tx: Sql, facts: EvidenceFacts, document: ReportDocument): PartSource[] {
  const { site, score, detail, clocks } = facts;
  const { siteId, timeZone } = site;
  const stationIds = [...new Set([detail.station.stationId ?? [], detail.station.trusted].flat())];
  async function* scoreText() {
    yield `${JSON.stringify(score, null, 2)}\n`;
  }
  async function* summary() {
    yield await drawReport(document);
  }
  return [
    ...recordParts(tx, { siteId, timeZone, stationIds, window: detail.window }),
    ...handParts(facts.hand),
    ...coverageParts(tx, facts.coverage, facts),
    ...photoParts(facts.photos),
    { file: SCORE_FILE, chunks: scoreText },
    auditPart(
      tx,
      siteId,
      clocks.map((c) => c.source),
    ),
    { file: SUMMARY_FILE, chunks: summary },
  ];
}
