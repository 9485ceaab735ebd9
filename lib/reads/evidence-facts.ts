import "server-only";
import { z } from "zod";
import { type LogClock, logClocks } from "../store/log-clocks.ts";
import { CoverageRow, InspectionRow, RepairRow, SiteRow, selectList, VisitRow } from "../store/record-rows.ts";
import type { Sql } from "../store/transaction.ts";
import { siteCoverage } from "./coverage-site.ts";
import type { SiteCoverageView } from "./coverage-view.ts";
import type { SiteScore } from "./documents.ts";
import { type Instrument, paperFile } from "./evidence-papers.ts";
import { type HandRecords, handRecords } from "./evidence-path.ts";
import { type EvidencePhoto, evidencePhotos } from "./evidence-photos.ts";
import { storedScores } from "./score.ts";
import { detailOf } from "./site.ts";
import type { SiteDetail } from "./site-detail.ts";
import { Proposal } from "./standing-rows.ts";

const SHOWN = 60;

const Version = z.object({
  input_hash: z.string(),
  parameter_version: z.string(),
  code_version: z.string(),
  as_of: z.date(),
  urgency: z.string(),
  proposal: Proposal,
});

/** What the summary of an evidence file is written from. */
export interface EvidenceFacts {
  site: z.infer<typeof SiteRow>;
  score: SiteScore;
  detail: SiteDetail;
  version: z.infer<typeof Version>;
  clocks: LogClock[];
  /** Newest first, at most 60 of each. */
  inspections: z.infer<typeof InspectionRow>[];
  repairs: z.infer<typeof RepairRow>[];
  visits: z.infer<typeof VisitRow>[];
  contracts: z.infer<typeof CoverageRow>[];
  /** Contracts with all that belongs to them, as of when the file is made. */
  coverage: SiteCoverageView;
  /** Files of the papers, in the order of `coverage.papers`. */
  paperFiles: string[];
  photos: EvidencePhoto[];
  hand: HandRecords;
  instruments: Instrument[];
}

/** @returns null when there is no such site or it has no score yet */
export async function evidenceFacts(tx: Sql, siteId: string, madeAt: number): Promise<EvidenceFacts | null> {
  const newest = async <S extends z.ZodObject>(schema: S, table: string, order: string) => {
    const found = await tx.unsafe(
      `SELECT ${selectList(schema)} FROM ${table} WHERE account_id = current_account() AND site_id = $1 ORDER BY ${order} LIMIT ${SHOWN}`,
      [siteId],
    );
    return z.array(schema).parse([...found]);
  };
  const [site] = await newest(SiteRow, "site", "site_id");
  const [score] = await storedScores(tx, siteId);
  const coverage = await siteCoverage(tx, siteId, madeAt);
  if (!site || !score || !coverage) return null;
  const [version] = await tx`
    SELECT sc.input_hash, sc.parameter_version, sc.code_version, sc.as_of, st.urgency, st.proposal
    FROM standing st JOIN score sc USING (account_id, site_id, input_hash)
    WHERE st.account_id = current_account() AND st.site_id = ${siteId}`;
  return {
    site,
    score,
    detail: await detailOf(tx, siteId),
    version: Version.parse(version),
    clocks: await logClocks(tx, siteId),
    inspections: await newest(InspectionRow, "inspection", 'inspected_at DESC, "check", section_id, inverter_id'),
    repairs: await newest(RepairRow, "repair", "repaired_at DESC, cause"),
    visits: await newest(VisitRow, "visit", "promised_from DESC NULLS LAST, visit_id"),
    contracts: await newest(CoverageRow, "coverage", "ends_on DESC, coverage_id"),
    coverage,
    paperFiles: coverage.papers.map(paperFile),
    photos: await evidencePhotos(tx, siteId),
    hand: await handRecords(tx, siteId),
    instruments: await instrumentsOf(tx, siteId),
  };
}

/** Instruments by serial number and calibration, as the inspections name them. */
async function instrumentsOf(tx: Sql, siteId: string): Promise<Instrument[]> {
  return [
    ...(await tx<Instrument[]>`
      SELECT instrument_serial AS serial, calibrated_on::text AS "calibratedOn", count(*)::int AS readings,
        min((inspected_at AT TIME ZONE s.time_zone)::date)::text AS "firstUsed", max((inspected_at AT TIME ZONE s.time_zone)::date)::text AS "lastUsed"
      FROM inspection i JOIN site s USING (account_id, site_id)
      WHERE i.account_id = current_account() AND i.site_id = ${siteId} AND instrument_serial IS NOT NULL
      GROUP BY 1, 2 ORDER BY 1, 2`),
  ];
}
