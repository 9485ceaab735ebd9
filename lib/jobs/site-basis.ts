import type { CodeMeaning, Instant } from "../core/records.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import { type Actor, systemActor } from "../store/actor.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { visitsOf } from "../store/site-records.ts";
import { readTransaction } from "../store/transaction.ts";
import { scorePlan } from "./score-plan.ts";
import { type ScoredSite, scoreSite } from "./score-site.ts";
import { readBatch, type SiteInput, StationCache } from "./site-inputs.ts";
import { readProposer, type Standing, standingOf } from "./write-scores.ts";

/** One site scored now from what is stored, with all it takes to ask what another record would change. */
export interface SiteBasis {
  input: SiteInput;
  site: ScoredSite;
  meanings: Map<string, CodeMeaning>;
  parameters: ParameterTable;
  asOf: Instant;
  /** Urgency that a scored version of the site would have. */
  urgencyOf: (site: ScoredSite) => Standing["urgency"];
}

/** @returns null when there is no such site */
export async function siteBasis(actor: Actor, siteId: string, now: Instant): Promise<SiteBasis | null> {
  const seen = await readTransaction(actor, (tx) => tx`SELECT 1 FROM site WHERE site_id = ${siteId}`);
  if (seen.length === 0) return null;
  // What the rest of the fleet taught goes in as it does in the stored score, also where the asker sees only this site.
  return readTransaction(systemActor(actor.accountId), async (tx) => {
    const parameters = await currentParameters(tx);
    const plan = await scorePlan(tx, { now, parameterVersion: parameters.version, siteIds: [siteId] });
    if (!plan) return null;
    const { inputs, meanings } = await readBatch(tx, plan.plans, plan.stations, new StationCache({ most: 1 }));
    const [input] = inputs;
    if (!input) return null;
    const visits = await visitsOf(tx, [siteId]);
    const proposer = await readProposer(tx, parameters);
    const { asOf } = plan;
    return {
      input,
      site: scoreSite(input, { meanings, asOf, parameters }),
      meanings,
      parameters,
      asOf,
      urgencyOf: (site) => standingOf(input, site, visits, proposer, asOf).urgency,
    };
  });
}
