import "server-only";

/** What the caller said for cells that a file leaves empty: the portfolio of sites, the station of weather. */
export function defaultsFor(
  kind: string,
  said: { portfolio?: string | undefined; station?: string | undefined },
): Record<string, string> {
  if (kind === "sites" && said.portfolio) return { portfolio: said.portfolio };
  return kind === "weather" && said.station ? { station_id: said.station } : {};
}
