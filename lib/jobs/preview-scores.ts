import type { Instant } from "../core/records.ts";
import { lossParametersOf } from "../coverage/account-parameters.ts";
import { diagnose } from "../diagnose/diagnose.ts";
import type { BandedProbability } from "../diagnose/diagnosis.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import type { Actor } from "../store/actor.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { visitsOf } from "../store/site-records.ts";
import { readTransaction } from "../store/transaction.ts";
import { scorePlan } from "./score-plan.ts";
import { BAND_DRAWS, scoreSite } from "./score-site.ts";
import { batches } from "./share-sites.ts";
import { readBatch, StationCache } from "./site-inputs.ts";
import { readProposer, type Standing, standingOf } from "./write-scores.ts";

export interface PreviewedSite {
  siteId: string;
  name: string;
  before: { bonding: BandedProbability; energized: BandedProbability; urgency: Standing["urgency"] };
  after: { bonding: BandedProbability; energized: BandedProbability; urgency: Standing["urgency"] };
}

export interface PreviewOptions {
  now: Instant;
  siteIds: string[];
}

/**
 * Some sites scored with the table in force and with another one, from the same records; nothing is stored.
 * @shape the correlation of a site is computed once, its diagnosis twice
 */
export async function previewScores(
  actor: Actor,
  table: ParameterTable,
  { now, siteIds }: PreviewOptions,
): Promise<PreviewedSite[]> {
  return readTransaction(actor, async (tx) => {
    const current = await currentParameters(tx);
    const plan = await scorePlan(tx, { now, parameterVersion: table.version, siteIds });
    if (!plan) return [];
    const proposer = await readProposer(tx, current);
    const other = { ...proposer, loss: lossParametersOf(table) };
    const visits = await visitsOf(tx, siteIds);
    const cache = new StationCache();
    const out: PreviewedSite[] = [];
    for (const batch of batches(plan.plans)) {
      const { inputs, meanings } = await readBatch(tx, batch, plan.stations, cache);
      for (const input of inputs) {
        const site = scoreSite(input, { meanings, asOf: plan.asOf, parameters: current });
        const { records, correlation, shared } = site;
        const { siteId, name } = records.site;
        const again = diagnose({ records, correlation, asOf: plan.asOf, shared }, table, {
          draws: BAND_DRAWS,
        });
        const own = visits.filter((v) => v.siteId === siteId);
        const side = (diagnosis: typeof again, by: typeof proposer) => ({
          bonding: diagnosis.bondingDefect,
          energized: diagnosis.energizedMetal,
          urgency: standingOf(input, { ...site, diagnosis }, own, by, plan.asOf).urgency,
        });
        out.push({ siteId, name, before: side(site.diagnosis, proposer), after: side(again, other) });
      }
    }
    return out;
  });
}
