import "server-only";
import { authorise } from "../core/permissions.ts";
import { auc, brierScore, type Judged, logScore, reliabilityBins, wilsonInterval } from "../diagnose/calibration.ts";
import { calibrationWatch } from "../diagnose/calibration-watch.ts";
import { countBaseline } from "../diagnose/count-baseline.ts";
import { bondingOutcome } from "../diagnose/visit-outcomes.ts";
import { type ForecastVisit, forecastVisits } from "../jobs/learning.ts";
import type { Actor } from "../store/actor.ts";
import { readMayLag } from "../store/transaction.ts";
import type { CalibrationGroup, CalibrationView } from "./calibration-view.ts";

interface Settled extends Judged {
  forecast: ForecastVisit;
}

const COUNT_EDGES = [1, 4, 10];
const SHARE_EDGES = [0.25, 0.5, 0.75];

/**
 * Whether stated probabilities of a bonding defect agree with what visits found. Each visit is set against the last
 * score before it; what was computed later is never used.
 */
export async function readCalibration(actor: Actor): Promise<CalibrationView> {
  authorise(actor, "fleet.read");
  const { visits, withoutScore } = await readMayLag(actor, (tx) => forecastVisits(tx));
  const settled = visits.flatMap((forecast): Settled[] => {
    const found = bondingOutcome(forecast.visit, forecast.stated.causes);
    return found === null ? [] : [{ p: forecast.stated.p, found, forecast }];
  });
  const watch = calibrationWatch(settled);
  return {
    outcomes: settled.length,
    found: settled.filter((s) => s.found).length,
    withoutScore,
    unsettled: visits.length - settled.length,
    says: watch.says,
    judged: watch.kind === "judged",
    alarm: watch.kind === "judged" && watch.alarm,
    bins: reliabilityBins(settled),
    scores: settled.length > 0 ? scores(settled) : null,
    auc: auc(settled),
    installers: groups(settled, ({ stated }) => [stated.installer ?? "not recorded"]),
    inspectors: groups(settled, ({ visit }) => visit.inspectors),
  };
}

function scores(settled: readonly Settled[]): NonNullable<CalibrationView["scores"]> {
  const counted = settled.map(({ forecast, found }) => ({ count: forecast.stated.episodes, found }));
  const wet = settled.map(({ forecast: { stated }, found }) => ({
    count: stated.episodes > 0 ? stated.wet_episodes / stated.episodes : 0,
    found,
  }));
  const rows: [string, string, Judged[]][] = [
    ["Raintrip", "the stated probability", [...settled]],
    ["Fault count", "share of finds among other sites with as many ground faults", countBaseline(counted, COUNT_EDGES)],
    ["Wet fraction", "share among other sites with a like share of wet faults", countBaseline(wet, SHARE_EDGES)],
  ];
  return rows.map(([name, what, judged]) => ({ name, what, brier: brierScore(judged), logScore: logScore(judged) }));
}

function groups(
  settled: readonly Settled[],
  namesOf: (forecast: ForecastVisit) => readonly string[],
): CalibrationGroup[] {
  const byName = groupBy(
    settled.flatMap((s) => namesOf(s.forecast).map((name) => ({ name, s }))),
    ({ name }) => name,
  );
  return [...byName]
    .map(([name, members]) => {
      const found = members.filter(({ s }) => s.found).length;
      const stated = members.reduce((sum, { s }) => sum + s.p, 0) / members.length;
      const { low, high } = wilsonInterval(found, members.length);
      const share = found / members.length;
      return { name, outcomes: members.length, found, stated, share, low, high, apart: stated < low || stated > high };
    })
    .sort((a, b) => b.outcomes - a.outcomes || (a.name < b.name ? -1 : 1));
}

function groupBy<T>(items: readonly T[], keyOf: (item: T) => string): Map<string, T[]> {
  const out = new Map<string, T[]>();
  for (const item of items) out.set(keyOf(item), [...(out.get(keyOf(item)) ?? []), item]);
  return out;
}
