import type { FileSpec } from "../contract/file-spec.ts";
import { isBlank, takes } from "./column-match.ts";
import type { ColumnRule, TableSample } from "./mapping.ts";
import { namedTime } from "./written-time.ts";
import { type NamedTime, type NameFinding, nameFindings } from "./zone-names.ts";

/** Zone of a site by its id; undefined: no such site yet. */
export type ZoneOf = (siteId: string) => string | undefined;

/**
 * Names of zones that the times of a column carry, with what they mean or what is to be asked.
 * @param columns rules of the file, of which `site_id` names the site of a row
 */
export function zoneNamesIn(
  sample: TableSample,
  spec: FileSpec,
  columns: readonly ColumnRule[],
  rule: ColumnRule,
  zoneOf: ZoneOf,
): NameFinding[] {
  const { at, clockAt, form } = rule;
  const column = spec.columns.find((c) => c.name === rule.to);
  if (!column || takes(column) !== "time" || at === null || !form) return [];
  const site = spec.bySite ? columns.find((c) => c.to === "site_id") : undefined;
  const times: NamedTime[] = [];
  // A name on a day of a month with one zone stands for all of that: what is looked at stays short.
  const met = new Set<string>();
  for (const row of sample.rows) {
    const cell = (row[at] ?? "").trim();
    if (isBlank(cell)) continue;
    const named = namedTime(clockAt === null ? cell : `${cell} ${(row[clockAt] ?? "").trim()}`, form);
    if (!named) continue;
    const siteId = site ? (site.at === null ? site.fixed : (row[site.at] ?? "").trim()) : "";
    const siteZone = zoneOf(siteId) ?? null;
    const key = `${named.name} ${new Date(named.wallMs).toISOString().slice(0, 10)} ${siteZone}`;
    if (met.has(key)) continue;
    met.add(key);
    times.push({ ...named, siteZone });
  }
  return nameFindings(times);
}
