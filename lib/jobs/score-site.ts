import type { CodeMeaning, Instant, SiteRecords } from "../core/records.ts";
import { correctClock } from "../correlate/correct-clock.ts";
import { correlateSite } from "../correlate/correlate-site.ts";
import type { CorrelateInput } from "../correlate/hour-frame.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { diagnose } from "../diagnose/diagnose.ts";
import type { Diagnosis } from "../diagnose/diagnosis.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import type { SharedGroup } from "../diagnose/shared-effect.ts";
import type { SiteScore } from "../reads/documents.ts";
import type { SitePlan } from "./score-plan.ts";
import type { StationWeather } from "./site-inputs.ts";

/** Tables drawn for a band: with these its ends are known to within a third of the spread that they tell of. */
export const BAND_DRAWS = 32;

export interface ScoredSite {
  records: SiteRecords;
  correlation: SiteCorrelation;
  /** What other sites of its installer or hardware were found to have. */
  shared: readonly SharedGroup[];
  diagnosis: Diagnosis;
  /** The contract's entry of this site, before the fleet pass fills q_value. */
  score: SiteScore;
}

/**
 * Score one site from its records and its station's weather. Nothing here reads a clock, a file or a table: the
 * same inputs give the same score wherever it runs.
 */
export function scoreSite(
  input: { plan: SitePlan; records: SiteRecords; weather: StationWeather | null },
  fleet: { meanings: Map<string, CodeMeaning>; asOf: Instant; parameters: ParameterTable },
): ScoredSite {
  const { plan } = input;
  const asked = correlateInput(input, fleet);
  const { records } = asked;
  const { site } = records;
  const correlation = correlateSite(asked);
  correlation.notes.push(...clockNotes(plan));
  const diagnosis = diagnose({ records, correlation, asOf: fleet.asOf, shared: plan.shared }, fleet.parameters, {
    draws: BAND_DRAWS,
  });
  return {
    records,
    correlation,
    shared: plan.shared,
    diagnosis,
    score: scoreEntry(site.siteId, correlation, diagnosis, stationNote(plan)),
  };
}

/** What the correlation of a site is computed from, its log already in true time where a person accepted that. */
export function correlateInput(
  input: { plan: SitePlan; records: SiteRecords; weather: StationWeather | null },
  fleet: { meanings: Map<string, CodeMeaning>; asOf: Instant },
): CorrelateInput {
  const { plan, weather } = input;
  const { latitude, longitude } = input.records.site;
  const corrected = correctClock(input.records, plan.logWindows, plan.clock);
  const scan = new Set([...plan.clock.values()].flatMap((c) => c.scanHours));
  return {
    records: corrected.records,
    meanings: fleet.meanings,
    weather,
    where: { latitude, longitude },
    logWindows: corrected.logWindows,
    asOf: fleet.asOf,
    clockScanHours: corrected.isCorrected ? [...scan].sort((a, b) => a - b) : [],
  };
}

function clockNotes({ clock }: SitePlan): string[] {
  return [...clock].map(([source, c]) => {
    const summer = c.summerHours === 0 ? "" : `, ${c.summerHours} h more in summer`;
    const name = source.startsWith("log/") ? `of log source ${source.slice(4)}` : "of this site's log";
    return `Times ${name} are corrected for a clock ${c.offsetHours} h ahead${summer}, accepted by ${c.acceptedBy} on ${new Date(c.acceptedAt).toISOString().slice(0, 10)}.`;
  });
}

function stationNote(plan: SitePlan): { what: string; says: string } | null {
  if (plan.choice.kind === "station") return null;
  return { what: "weather_station", says: plan.choice.says };
}

/** The contract's shape of a score. */
export function scoreEntry(
  siteId: string,
  correlation: SiteCorrelation,
  diagnosis: Diagnosis,
  stationGap: { what: string; says: string } | null,
): SiteScore {
  const { weather } = correlation;
  return {
    site_id: siteId,
    bonding_defect: diagnosis.bondingDefect,
    energized_metal: diagnosis.energizedMetal,
    causes: diagnosis.causes,
    cause_bands: diagnosis.causeBands,
    weather: {
      driver: weather.driver,
      rate_ratio: weather.rateRatio,
      low: weather.low,
      high: weather.high,
      p_value: weather.pValue,
      q_value: weather.qValue,
      wet_hours: weather.wetHours,
      wet_episodes: weather.wetEpisodes,
      dry_hours: weather.dryHours,
      dry_episodes: weather.dryEpisodes,
      clock_offset_hours: weather.clockOffsetHours,
    },
    evidence: diagnosis.evidence.map(({ source, decibans, says, withoutDecibans }) => ({
      source,
      decibans,
      says,
      ...(withoutDecibans === undefined ? {} : { without_decibans: withoutDecibans }),
    })),
    ...(diagnosis.sharedLogOdds ? { shared_log_odds: diagnosis.sharedLogOdds } : {}),
    gaps: uniqueGaps([...(stationGap ? [stationGap] : []), ...correlation.gaps, ...diagnosis.gaps]),
    notes: [...new Set([...correlation.notes, ...diagnosis.notes])],
  };
}

function uniqueGaps(gaps: { what: string; says: string }[]): { what: string; says: string }[] {
  const seen = new Set<string>();
  return gaps.filter((gap) => !seen.has(`${gap.what}\n${gap.says}`) && seen.add(`${gap.what}\n${gap.says}`));
}
