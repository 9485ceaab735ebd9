import type { Instant, Repair } from "../core/records.ts";
import { drawnTables } from "../diagnose/drawn-tables.ts";
import { type FixWatch, type FixWatchInput, fixWatch, recurrenceRates } from "../diagnose/fix-watch.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import { band } from "../diagnose/posterior.ts";
import { stillThere } from "../diagnose/recurrence.ts";
import { atRiskPerWetHour, expectedWetDate, wetShareByMonth } from "../diagnose/wet-climatology.ts";
import type { StoredFix } from "../reads/site-detail.ts";
import { BAND_DRAWS, type ScoredSite } from "./score-site.ts";
import type { SiteInput } from "./site-inputs.ts";

/** A later repair of the same cause at the same place takes over from an earlier one. */
const placeOf = ({ cause, sectionId, inverterId }: Repair) => `${cause}/${sectionId ?? ""}/${inverterId ?? ""}`;

/** Every repair whose question is still of interest, newest first, with what is known of it since. */
export function fixWatchesOf(
  input: SiteInput,
  { records, correlation }: ScoredSite,
  parameters: ParameterTable,
  asOf: Instant,
): StoredFix[] {
  const newest = new Map<string, Repair>();
  for (const repair of [...records.repairs].sort((a, b) => a.repairedAt.at - b.repairedAt.at))
    if (repair.repairedAt.at <= asOf) newest.set(placeOf(repair), repair);
  const out: StoredFix[] = [];
  for (const repair of newest.values()) {
    const detectorUnchanged = input.detectorWords.get(`${repair.repairedAt.at}/${repair.cause}`) ?? null;
    const base = { records, correlation, asOf, repair, detectorUnchanged };
    const watch = fixWatch(base, parameters);
    if (!watch) continue;
    const climate = climateDate(input, base, watch.wetHoursToGo);
    const { stillThere: p, before, after, state, wetHoursToGo, reopened, missing, says } = watch;
    out.push({
      ...{ state, before, after, wetHoursToGo, reopened, missing, says, detectorUnchanged },
      repairedAt: repair.repairedAt.at,
      day: repair.repairedAt.day,
      cause: repair.cause,
      sectionId: repair.sectionId,
      inverterId: repair.inverterId,
      action: repair.action,
      stillThere: { p, ...bandOf(base, watch, parameters, p) },
      expectedBy: climate ?? watch.expectedBy,
      expectedFrom: climate !== null ? "station" : watch.expectedBy !== null ? "log" : null,
    });
  }
  return out.sort((a, b) => b.repairedAt - a.repairedAt);
}

/** The band of the belief under the tables that every band is drawn from; the point itself is never outside. */
function bandOf(
  { repair }: FixWatchInput,
  { before, after }: FixWatch,
  table: ParameterTable,
  p: number,
): { low: number; high: number } {
  const drawn = drawnTables(table, BAND_DRAWS).map(({ values }) =>
    stillThere(before, after, recurrenceRates(repair, values)),
  );
  const { low, high } = band(p, drawn);
  return { low, high };
}

function climateDate(
  { weather }: SiteInput,
  { correlation, asOf }: FixWatchInput,
  toGo: number | null,
): Instant | null {
  if (!weather || toGo === null) return null;
  const pace = atRiskPerWetHour(correlation, weather.wetness);
  return pace === null ? null : expectedWetDate(toGo, asOf, wetShareByMonth(weather.wetness), pace);
}
