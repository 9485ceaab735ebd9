import type { Instant } from "../core/records.ts";
import type { SiteScore } from "../reads/documents.ts";
import type { Actor } from "../store/actor.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { readTransaction } from "../store/transaction.ts";
import { clockEvidenceOf, pooledProposals } from "./clock-pass.ts";
import { benjaminiHochbergFleet } from "./fleet-pass.ts";
import { scorePlan } from "./score-plan.ts";
import { type ScoredSite, scoreSite } from "./score-site.ts";
import { batches } from "./share-sites.ts";
import { readBatch, StationCache } from "./site-inputs.ts";

/** Scores of the whole account from the records up to an instant, computed now and not stored. */
export async function scoresAsOf(actor: Actor, asOf: Instant): Promise<SiteScore[]> {
  const { plan, parameters } = await readTransaction(actor, async (tx) => {
    const table = await currentParameters(tx);
    return { plan: await scorePlan(tx, { now: asOf, asOf, parameterVersion: table.version }), parameters: table };
  });
  if (!plan) return [];
  const cache = new StationCache();
  const sites: ScoredSite[] = [];
  for (const batch of batches(plan.plans)) {
    const read = await readTransaction(actor, (tx) => readBatch(tx, batch, plan.stations, cache));
    const fleet = { meanings: read.meanings, asOf, parameters };
    sites.push(...read.inputs.map((input) => scoreSite(input, fleet)));
  }
  const q = benjaminiHochbergFleet(
    sites.map(({ score }) => ({
      siteId: score.site_id,
      pValue: score.weather.p_value,
      episodes: score.weather.wet_episodes + score.weather.dry_episodes,
    })),
  );
  const clocks = pooledProposals(sites);
  const hoursOf = (site: ScoredSite) =>
    clockEvidenceOf(site)
      .map((e) => e.source)
      .sort()
      .flatMap((source) => clocks.get(source) ?? [])[0] ?? null;
  return sites
    .map((site) => ({
      ...site.score,
      weather: {
        ...site.score.weather,
        q_value: q.get(site.score.site_id) ?? null,
        clock_offset_hours: hoursOf(site),
      },
    }))
    .sort((a, b) => (a.site_id < b.site_id ? -1 : 1));
}
