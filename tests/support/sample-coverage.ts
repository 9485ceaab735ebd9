import type { Coverage } from "../../lib/core/records.ts";

/** An invented contract for tests: two years of workmanship warranty with every term recorded unless overridden. */
export function sampleCoverage(over: Partial<Coverage> = {}): Coverage {
  return {
    coverageId: "W1",
    siteId: "S1",
    kind: "workmanship",
    provider: "Installer one",
    startsOn: "2024-01-01",
    endsOn: "2025-12-31",
    limitAmount: 25_000,
    deductibleAmount: 500,
    noticeDays: 30,
    noticeTo: "Warranty desk",
    policyNumber: "N-1",
    currency: "USD",
    limitBasis: null,
    trigger: null,
    proofOfLossDays: null,
    suitLimitMonths: null,
    excludes: [],
    conditions: [],
    ...over,
  };
}
