import { CAUSES, type Coverage } from "../../lib/core/records.ts";
import type { SiteToDraw } from "../../lib/coverage/loss-model.ts";
import { lossModel } from "../../lib/coverage/loss-model.ts";
import type { CauseSeverity } from "../../lib/coverage/loss-net.ts";
import { type DrawnYears, drawnYears, LossSimulation } from "../../lib/coverage/loss-simulation.ts";
import type { SiteTerm } from "../../lib/coverage/loss-terms.ts";

export const sampleCoverage = (over: Partial<Coverage> = {}): Coverage => ({
  coverageId: "W1",
  siteId: "S1",
  kind: "workmanship",
  provider: "Installer A",
  startsOn: "2020-01-01",
  endsOn: "2040-01-01",
  limitAmount: 10_000,
  deductibleAmount: 500,
  noticeDays: 30,
  noticeTo: null,
  policyNumber: null,
  currency: "USD",
  limitBasis: "per_occurrence",
  trigger: "occurrence",
  proofOfLossDays: null,
  suitLimitMonths: null,
  excludes: [],
  conditions: [],
  ...over,
});

export const sampleTerm = (over: Partial<SiteTerm> = {}): SiteTerm => ({
  coverageId: "W1",
  kind: "workmanship",
  claim: "repair",
  causes: CAUSES,
  limit: Number.POSITIVE_INFINITY,
  deductible: 0,
  from: 0,
  to: 1,
  chance: 1,
  chances: { valid: 1, conditions: 1, evidence: 1, notice: 1 },
  endsOn: "2040-01-01",
  policy: "contract W1",
  yearLimit: null,
  ...over,
});

/** A site with one possible defect; every sum fixed unless said. */
export function siteToDraw(
  siteId: string,
  probability: number,
  over: Partial<Omit<SiteToDraw, "terms" | "severities">> & {
    terms?: SiteTerm[];
    severity?: Partial<CauseSeverity>;
  } = {},
): SiteToDraw {
  const { terms = [], severity = {}, ...rest } = over;
  return {
    siteId,
    book: "North",
    installer: null,
    batch: null,
    severities: CAUSES.map((cause) => ({
      repair: { mean: 1000, spread: 0 },
      escalation: 0,
      propertyPerYear: 0,
      property: { mean: 1, spread: 0 },
      peoplePerYear: 0,
      people: { mean: 1, spread: 0 },
      energy: 0,
      ...severity,
      cause,
      probability: cause === "open_section_bond" ? probability : 0,
    })),
    terms: { terms, remarks: [] },
    ...rest,
  };
}

/** Years drawn for sites that share a factor by batch. */
export function drawn(
  sites: readonly SiteToDraw[],
  years: number,
  shares: { sharedInstaller?: number; sharedBatch?: number } = {},
  seed = "test",
): DrawnYears {
  const model = lossModel(sites, { sharedInstaller: 0, sharedBatch: 0, ...shares });
  const into = drawnYears(model, years);
  new LossSimulation(model, seed).run(into, 0, years);
  return into;
}
