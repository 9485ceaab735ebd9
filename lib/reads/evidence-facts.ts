import "server-only";
import { z } from "zod";
import { clockSource } from "../correlate/correct-clock.ts";
import { clockCorrections, clocksFound } from "../store/clock.ts";
import { CoverageRow, InspectionRow, RepairRow, SiteRow, selectList, VisitRow } from "../store/record-rows.ts";
import type { Sql } from "../store/transaction.ts";
import type { SiteScore } from "./documents.ts";
import { storedScores } from "./score.ts";
import { detailOf } from "./site.ts";
import type { SiteDetail } from "./site-detail.ts";
import { Proposal } from "./standing-rows.ts";

const SHOWN = 60;
/** Fewer onsets say too little of a clock to speak of a test. */
const TESTED_ONSETS = 10;

const Version = z.object({
  input_hash: z.string(),
  parameter_version: z.string(),
  code_version: z.string(),
  as_of: z.date(),
  urgency: z.string(),
  proposal: Proposal,
});

/** How the times of one log source are to be read. */
export interface LogClock {
  source: string;
  /** What its clock ran ahead, as accepted by a person; null: its times are used as logged. */
  correction: {
    offsetHours: number;
    summerHours: number;
    acceptedBy: string;
    acceptedAt: number;
    reason: string;
  } | null;
  /** A correction that is proposed and not accepted. */
  proposal: { offsetHours: number; summerHours: number } | null;
  /** Enough onsets were there to hold the clock against sun and water. */
  tested: boolean;
}

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
  coverage: z.infer<typeof CoverageRow>[];
}

/** @returns null when there is no such site or it has no score yet */
export async function evidenceFacts(tx: Sql, siteId: string): Promise<EvidenceFacts | null> {
  const newest = async <S extends z.ZodObject>(schema: S, table: string, order: string) => {
    const found = await tx.unsafe(
      `SELECT ${selectList(schema)} FROM ${table} WHERE account_id = current_account() AND site_id = $1 ORDER BY ${order} LIMIT ${SHOWN}`,
      [siteId],
    );
    return z.array(schema).parse([...found]);
  };
  const [site] = await newest(SiteRow, "site", "site_id");
  const [score] = await storedScores(tx, siteId);
  if (!site || !score) return null;
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
    coverage: await newest(CoverageRow, "coverage", "ends_on DESC, coverage_id"),
  };
}

/** How the clock of each log source of a site is read. */
export async function logClocks(tx: Sql, siteId: string): Promise<LogClock[]> {
  const rows = await tx<{ log_source: string | null }[]>`SELECT DISTINCT log_source FROM inverter
    WHERE account_id = current_account() AND site_id = ${siteId} ORDER BY log_source`;
  const sources = rows.map((row) => clockSource(siteId, row.log_source));
  const accepted = await clockCorrections(tx);
  const found = await clocksFound(tx, sources);
  return sources.map((source) => {
    const own = accepted.get(source);
    return {
      source,
      correction: own ?? null,
      proposal: found.get(source)?.proposal ?? null,
      tested: (found.get(source)?.onsets ?? 0) >= TESTED_ONSETS,
    };
  });
}
