import { CAUSES, type SiteRecords } from "../core/records.ts";
import { logSumExp } from "../core/statistics.ts";
import { CONFIGURATIONS, MEMBERS } from "./configurations.ts";
import type { Finding } from "./findings.ts";

/** A finding with its weights and the place index it speaks of (-1: the whole site). */
export interface WeighedFinding {
  finding: Finding;
  weights: Float64Array;
  place: number;
}

/**
 * Places where a cause can sit: the sections of a site, or its inverters where no section is recorded.
 * A finding at an inverter speaks of the first of that inverter's sections, as the nearest place there is.
 */
export function placesOf(records: SiteRecords): { count: number; placeOf: (f: Finding) => number } {
  const { sections, inverters } = records;
  if (sections.length > 0) {
    const index = new Map(sections.map((s, i) => [s.sectionId, i]));
    const ofInverter = new Map<string, number>();
    sections.forEach((s, i) => {
      if (!ofInverter.has(s.inverterId)) ofInverter.set(s.inverterId, i);
    });
    const placeOf = (f: Finding) =>
      f.sectionId !== null
        ? (index.get(f.sectionId) ?? -1)
        : f.inverterId !== null
          ? (ofInverter.get(f.inverterId) ?? -1)
          : -1;
    return { count: sections.length, placeOf };
  }
  const index = new Map(inverters.map((v, i) => [v.inverterId, i]));
  return {
    count: Math.max(1, inverters.length),
    placeOf: (f) => (f.inverterId === null ? -1 : (index.get(f.inverterId) ?? -1)),
  };
}

/**
 * Log-likelihood of all findings under each configuration, against the site with nothing wrong. The causes present sit
 * at one place, which is not known: it is averaged over, so a clean reading at one of six sections says little and a
 * bad one anywhere says much. Of several causes the one that explains a bad finding best explains it; a clean finding
 * speaks against each.
 */
export function findingLikelihood(items: readonly WeighedFinding[], places: number): Float64Array {
  const out = new Float64Array(CONFIGURATIONS.length);
  if (items.length === 0) return out;
  const here = new Float64Array(places);
  CONFIGURATIONS.forEach((_, k) => {
    const members = MEMBERS[k] as readonly number[];
    if (members.length === 0) return;
    here.fill(0);
    let everywhere = 0;
    for (const { weights, place } of items) {
      const w = combined(weights, members);
      if (place < 0) everywhere += w;
      else here[place] = (here[place] as number) + w;
    }
    out[k] = everywhere + logSumExp(here) - Math.log(places);
  });
  return out;
}

function combined(weights: Float64Array, members: readonly number[]): number {
  let best = 0;
  let against = 0;
  for (const c of members) {
    const w = weights[c] as number;
    if (w > best) best = w;
    else if (w < 0) against += w;
  }
  return best > 0 ? best : against;
}

/**
 * Zero the weights for causes that a later repair is confirmed to have removed there: the finding spoke of what was then
 * mended. A repair that names a section mends nothing found at another.
 */
export function forgetRepaired(item: WeighedFinding, records: SiteRecords, asOf: number): WeighedFinding {
  const weights = item.weights.slice();
  for (const r of records.repairs) {
    if (r.cause === "none_found" || r.repairedAt.at > asOf || r.repairedAt.at < item.finding.at) continue;
    const elsewhere = r.sectionId !== null && item.finding.sectionId !== null && r.sectionId !== item.finding.sectionId;
    if (r.confirmed !== "yes" || elsewhere) continue;
    weights[CAUSES.indexOf(r.cause)] = 0;
  }
  return { ...item, weights };
}
