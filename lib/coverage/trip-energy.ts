import type { Instant, SiteRecords } from "../core/records.ts";
import type { EpisodeInWeather, SiteCorrelation } from "../correlate/site-correlation.ts";
import type { LossParameters } from "./loss-parameters.ts";

/** Half the hours of a year: the mean over a year at any latitude, refraction aside. */
const LIGHT_HOURS_PER_YEAR = 4383;
const HOUR_MS = 3_600_000;
const YEAR_MS = 8766 * HOUR_MS;
/** A shorter window is not stretched to a year at full weight: it would make one early trip look like hundreds. */
const SHORTEST_WINDOW_MS = YEAR_MS / 4;

/** What of a correlation tells of trips. */
export interface TripLog {
  window: SiteCorrelation["window"];
  episodes: readonly Pick<EpisodeInWeather, "onset" | "end" | "inverterIds">[];
}

export interface TripEnergy {
  /** Ground-fault episodes a year. */
  tripsPerYear: number;
  /** Hours of light lost a year, weighted by the share of the site's AC rating that was off. */
  lightHoursPerYear: number;
  kwhPerYear: number;
  /** What had to be assumed. */
  assumed: string[];
}

/**
 * Energy that ground-fault trips cost a site in a year at the rate of its log.
 *
 * An episode of up to 12 h is taken to lie in light; of a longer one half is. An end that is not known counts
 * `unknownOutageHours`; no episode counts more than `longestOutageHours`. No window: no trips, said in `assumed`.
 */
export function tripEnergy(
  records: Pick<SiteRecords, "site" | "inverters">,
  correlation: TripLog,
  asOf: Instant,
  params: LossParameters,
): TripEnergy {
  const { site } = records;
  const assumed: string[] = [];
  if (site.annualKwh === null) assumed.push(`annual yield taken as ${params.yieldKwhPerKw} kWh a kW`);
  const annualKwh = site.annualKwh ?? site.dcKw * params.yieldKwhPerKw;
  const { window } = correlation;
  if (!window)
    return {
      tripsPerYear: 0,
      lightHoursPerYear: 0,
      kwhPerYear: 0,
      assumed: [...assumed, "no log window, so no trips are counted"],
    };
  const years = Math.max(Math.min(window.to, asOf) - window.from, SHORTEST_WINDOW_MS) / YEAR_MS;
  const ratedKw = records.inverters.reduce((sum, inverter) => sum + inverter.acKw, 0);
  const share = new Map(
    records.inverters.map((inverter) => [inverter.inverterId, ratedKw > 0 ? inverter.acKw / ratedKw : 0]),
  );
  let trips = 0;
  let lightHours = 0;
  for (const episode of correlation.episodes) {
    if (episode.onset > asOf) continue;
    trips++;
    const known = episode.end !== null && episode.end <= asOf;
    const hours = known ? ((episode.end as number) - episode.onset) / HOUR_MS : params.unknownOutageHours;
    const light = hours <= 12 ? hours : hours / 2;
    const off = episode.inverterIds.reduce((sum, id) => sum + (share.get(id) ?? 0), 0);
    lightHours += Math.min(light, params.longestOutageHours) * off;
  }
  const lightHoursPerYear = Math.min(lightHours / years, LIGHT_HOURS_PER_YEAR);
  return {
    tripsPerYear: trips / years,
    lightHoursPerYear,
    kwhPerYear: (lightHoursPerYear / LIGHT_HOURS_PER_YEAR) * annualKwh,
    assumed,
  };
}
