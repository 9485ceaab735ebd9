import { BONDING_CAUSES, type Cause, type Instant, type Repair, type SiteRecords } from "../core/records.ts";
import { expit } from "../core/statistics.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import { judgeReading } from "../grounding/reading-judgement.ts";
import { type ParameterTable, type ParameterValues, parameter, valuesOf } from "./parameters.ts";
import { moreWetHours, type RecurrenceRates, type SpanCounts, stillThere, wetCounts } from "./recurrence.ts";

/**
 * What is known of a repair since it was made.
 * - held: continuity and insulation measured after it, the detector known to work as before, and enough wet hours
 *   without a fault
 * - trips_go_on: faults came again in the wet
 * - no_recurrence_seen: silence, and something of the above is missing
 * - too_early: silence, and too few wet hours to say anything
 */
export type FixState = "held" | "trips_go_on" | "no_recurrence_seen" | "too_early";

export interface FixWatch {
  state: FixState;
  /** Probability that the repaired defect is still there, given the wet hours since and the faults in them. */
  stillThere: number;
  before: SpanCounts;
  after: SpanCounts;
  /** Wet hours without a fault still needed until the defect is gone with 95 %; null where faults came again. */
  wetHoursToGo: number | null;
  /** Instant by which they are expected at the site's own pace of wet hours; null where that cannot be said. */
  expectedBy: Instant | null;
  /** The question is open again: faults came back. */
  reopened: boolean;
  /** What keeps `held` from being said. */
  missing: string[];
  says: string;
}

export interface FixWatchInput {
  records: SiteRecords;
  correlation: SiteCorrelation;
  asOf: Instant;
  /** A repair of a named cause; `none_found` mends nothing. */
  repair: Repair;
  /** Whether somebody confirmed that the detector is enabled with the thresholds it had; records alone cannot tell. */
  detectorUnchanged: boolean | null;
}

/** From here on a defect counts as gone. */
const GONE = 0.05;

/**
 * Whether a fix held. Silence alone is never `held`: an inverter that is off, a detector set wider or a dry season are
 * silent too. Trips that go on after a bond was measured sound point to a leak that remains, not to a failed bond.
 * @returns null for a repair that names no cause or lies after `asOf`
 */
export function fixWatch(input: FixWatchInput, parameters: ParameterTable): FixWatch | null {
  const { repair, correlation, asOf } = input;
  const { cause } = repair;
  if (cause === "none_found" || repair.repairedAt.at > asOf) return null;
  const values = valuesOf(parameters);
  const cut = repair.repairedAt.at;
  const before = wetCounts(correlation, Number.NEGATIVE_INFINITY, cut);
  const after = wetCounts(correlation, cut, asOf);
  const rates = recurrenceRates(repair, values);
  const remains = stillThere(before, after, rates);
  const tested = testedAfter(input);
  const missing = missingForHeld(input, tested, after, remains);
  const state: FixState =
    after.wetEpisodes > 0
      ? "trips_go_on"
      : missing.length === 0
        ? "held"
        : after.wetHours < 1
          ? "too_early"
          : "no_recurrence_seen";
  const wetHoursToGo = after.wetEpisodes > 0 ? null : moreWetHours(before, after, rates, GONE);
  return {
    state,
    stillThere: remains,
    before,
    after,
    wetHoursToGo,
    expectedBy: wetHoursToGo === null ? null : expectedBy(wetHoursToGo, correlation, asOf),
    reopened: after.wetEpisodes > 0,
    missing,
    says: sentence(cause, state, after, remains, tested.continuity, missing),
  };
}

/** What a table says of a repair's recurrence. */
export function recurrenceRates(repair: Repair, values: ParameterValues): RecurrenceRates {
  return {
    prior: failedPrior(repair, values),
    causePerHour: parameter(values, `rate.${repair.cause}.rain`) / 1000,
    backgroundPerHour: parameter(values, "rate.background.rain") / 1000,
  };
}

/** Chance that a repair leaves the defect: the table's log odds for that kind of repair, from even odds before it. */
function failedPrior(repair: Repair, values: ParameterValues): number {
  if (repair.confirmed !== "yes") return expit(parameter(values, "repair.unconfirmed"));
  if (repair.testedAfter === "both") return expit(parameter(values, "repair.confirmed.both"));
  const one = repair.testedAfter === "continuity" || repair.testedAfter === "insulation";
  return expit(parameter(values, one ? "repair.confirmed.one" : "repair.confirmed.none"));
}

interface Tested {
  continuity: boolean;
  insulation: boolean;
}

/** What was measured after the repair, by the repair's own record or by an inspection whose number passes. */
function testedAfter({ records, repair, asOf }: FixWatchInput): Tested {
  const own = repair.testedAfter;
  const since = records.inspections.filter(
    (row) => row.inspectedAt.at > repair.repairedAt.at && row.inspectedAt.at <= asOf,
  );
  const passes = (check: "bond_resistance" | "insulation_resistance") =>
    since.some((row) => {
      if (row.check !== check || row.value === null || row.outcome !== "pass") return false;
      if (repair.sectionId !== null && row.sectionId !== null && row.sectionId !== repair.sectionId) return false;
      const maxDcV =
        records.inverters.find((v) => v.inverterId === (row.inverterId ?? repair.inverterId))?.maxDcV ??
        records.inverters[0]?.maxDcV ??
        null;
      return (
        judgeReading(row, { others: records.inspections, maxDcV, electrode: records.site.electrode }).verdict === "pass"
      );
    });
  return {
    continuity: own === "continuity" || own === "both" || passes("bond_resistance"),
    insulation: own === "insulation" || own === "both" || passes("insulation_resistance"),
  };
}

function missingForHeld(
  { correlation, detectorUnchanged }: FixWatchInput,
  tested: Tested,
  after: SpanCounts,
  remains: number,
): string[] {
  const missing: string[] = [];
  if (!tested.continuity) missing.push("continuity measured after the repair");
  if (!tested.insulation) missing.push("insulation measured after the repair");
  if (detectorUnchanged === null) missing.push("word that the detector is enabled with unchanged thresholds");
  if (detectorUnchanged === false) missing.push("a detector with unchanged thresholds: they were changed");
  if (correlation.gaps.some(({ what }) => what === "telemetry"))
    missing.push("telemetry that shows the inverters reporting; their hours are assumed");
  if (after.wetHours < 1) missing.push("wet hours at risk since the repair");
  else if (remains > GONE) missing.push("more wet hours without a fault");
  return missing;
}

/** At the pace of wet hours of the whole log; a log shorter than half a year does not know the seasons. */
function expectedBy(wetHours: number, correlation: SiteCorrelation, asOf: Instant): Instant | null {
  const { window } = correlation;
  const HALF_YEAR_MS = 182 * 86_400_000;
  if (wetHours === 0) return asOf;
  if (window === null || window.to - window.from < HALF_YEAR_MS) return null;
  const all = wetCounts(correlation, window.from, window.to).wetHours;
  return all > 0 ? asOf + (wetHours / all) * (window.to - window.from) : null;
}

function sentence(
  cause: Cause,
  state: FixState,
  after: SpanCounts,
  remains: number,
  continuity: boolean,
  missing: readonly string[],
): string {
  const hours = `${Math.round(after.wetHours)} wet hours at risk since the repair`;
  const chance = `${shareText(remains)} that it is still there`;
  const name = cause.replaceAll("_", " ");
  if (state === "trips_go_on") {
    const trips = `${after.wetEpisodes} ground-fault ${after.wetEpisodes === 1 ? "episode" : "episodes"} in ${hours}: ${chance}.`;
    const bond = (BONDING_CAUSES as readonly Cause[]).includes(cause);
    return bond && continuity
      ? `${trips} Continuity was measured after the repair, so they point to a leak that remains.`
      : `${trips} The question of ${name} is open again.`;
  }
  if (state === "held") return `Held: no ground fault in ${hours}, continuity and insulation measured; ${chance}.`;
  if (state === "too_early") return `Too early: no wet hour at risk since the repair of ${name}.`;
  return `No recurrence seen in ${hours}; ${chance}. Missing to call it held: ${missing.join("; ")}.`;
}

/** Never certain either way. */
function shareText(p: number): string {
  if (p > 0.99) return "more than 99 %";
  return p < 0.01 ? "less than 1 %" : `${(100 * p).toFixed(0)} %`;
}
