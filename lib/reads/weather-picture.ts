import "server-only";
import { authorise } from "../core/permissions.ts";
import type { Instant } from "../core/records.ts";
import { HOUR_MS } from "../core/weather-series.ts";
import { type ClockReading, clockAheadHours } from "../correlate/clock-offset.ts";
import { clockSource } from "../correlate/correct-clock.ts";
import { weatherPicture } from "../correlate/weather-picture.ts";
import { correlateInput } from "../jobs/score-site.ts";
import { type SiteBasis, siteBasis } from "../jobs/site-basis.ts";
import type { Actor } from "../store/actor.ts";
import { type ClockFound, clockCorrections, clocksFound, type StoredCorrection } from "../store/clock.ts";
import { readTransaction } from "../store/transaction.ts";
import { solarHour } from "../weather/solar-time.ts";
import type { ClockView, WeatherPictureView } from "./weather-picture-view.ts";

const SOLAR_HOURS = 24;

/** What the faults of a site and its weather look like side by side; null when there is no such site. */
export async function readWeatherPicture(actor: Actor, siteId: string): Promise<WeatherPictureView | null> {
  authorise(actor, "sites.read");
  const basis = await siteBasis(actor, siteId, Date.now());
  if (!basis) return null;
  const sources = sourcesOf(basis);
  const { found, corrections, fleet } = await readTransaction(actor, async (tx) => {
    const [row] = await tx<{ ratio: number | null; none: number | null }[]>`
      SELECT shrunk_log_ratio AS ratio, no_effect_p AS none FROM standing
      WHERE account_id = current_account() AND site_id = ${siteId}`;
    return { found: await clocksFound(tx, sources), corrections: await clockCorrections(tx), fleet: row };
  });
  const { weather } = basis.site.correlation;
  const { wetHours, wetEpisodes, dryHours, dryEpisodes, rateRatio, low, high } = weather;
  const ratio = fleet?.ratio ?? null;
  return {
    ...weatherPicture(correlateInput(basis.input, { meanings: basis.meanings, asOf: basis.asOf })),
    asOf: new Date(basis.asOf).toISOString(),
    wetHours,
    wetEpisodes,
    dryHours,
    dryEpisodes,
    rateRatio,
    low,
    high,
    shrunkRatio: ratio === null ? null : Math.exp(ratio),
    noEffect: fleet?.none ?? null,
    clocks: sources.flatMap((source) => {
      const own = found.get(source);
      return own ? [clockView(basis, source, own, corrections.get(source) ?? null)] : [];
    }),
  };
}

function sourcesOf({ input }: SiteBasis): string[] {
  const { site, inverters } = input.records;
  return [...new Set(inverters.map((i) => clockSource(site.siteId, i.logSource)))].sort();
}

function clockView(basis: SiteBasis, source: string, found: ClockFound, corrected: StoredCorrection | null): ClockView {
  const { site, inverters } = basis.input.records;
  const own = new Set(
    inverters.filter((i) => clockSource(site.siteId, i.logSource) === source).map((i) => i.inverterId),
  );
  const onsets = basis.site.correlation.episodes.filter((e) => own.has(e.inverterIds[0] ?? "")).map((e) => e.onset);
  const moved = (reading: ClockReading) =>
    onsets.map((at) => at - clockAheadHours(reading, at, site.timeZone) * HOUR_MS);
  return {
    source,
    name: source.startsWith("log/") ? `log source ${source.slice(4)}` : "the log of this site",
    onsets: found.onsets,
    right: found.right,
    probability: found.probability,
    byOffset: found.byOffset,
    darkAsLogged: found.darkAsLogged,
    darkAsRead: found.darkAsRead,
    proposal: found.proposal,
    corrected: corrected && {
      offsetHours: corrected.offsetHours,
      summerHours: corrected.summerHours,
      by: corrected.acceptedBy,
      at: new Date(corrected.acceptedAt).toISOString(),
      reason: corrected.reason,
    },
    before: bySolarHour(onsets, site.longitude),
    after: found.proposal ? bySolarHour(moved(found.proposal), site.longitude) : null,
  };
}

function bySolarHour(onsets: readonly Instant[], longitude: number): number[] {
  const counts = new Array<number>(SOLAR_HOURS).fill(0);
  for (const at of onsets) {
    const hour = solarHour(at, longitude);
    counts[hour] = (counts[hour] as number) + 1;
  }
  return counts;
}
