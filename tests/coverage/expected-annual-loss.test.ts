import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CAUSES, type Coverage } from "../../lib/core/records.ts";
import { expectedAnnualLoss } from "../../lib/coverage/expected-annual-loss.ts";
import { DEFAULT_LOSS_PARAMETERS, scaleMoney } from "../../lib/coverage/loss-parameters.ts";
import { openDeadlines } from "../../lib/coverage/open-deadlines.ts";
import { tripEnergy } from "../../lib/coverage/trip-energy.ts";
import {
  AS_OF,
  DAY_MS,
  sampleCorrelation,
  sampleDiagnosis,
  sampleEpisode,
  sampleRecords,
  sampleSite,
} from "../support/sample-site.ts";

const money = { accountCurrency: "USD", rates: new Map([["EUR", 1.25]]) };
const params = DEFAULT_LOSS_PARAMETERS;
const lossOf = (
  site = sampleSite(),
  diagnosis = sampleDiagnosis(),
  correlation = sampleCorrelation(),
  table = params,
) => {
  const loss = expectedAnnualLoss({
    records: sampleRecords({ site }),
    diagnosis,
    correlation,
    asOf: AS_OF,
    money,
    params: table,
  });
  if ("kind" in loss) throw new Error("a rate is known");
  return loss;
};

describe("tripEnergy", () => {
  test("two years of ten six-hour trips lose 30 h of 4383 h of light a year", () => {
    const episodes = Array.from({ length: 10 }, (_, i) => sampleEpisode(AS_OF - (700 - 60 * i) * DAY_MS, 6));
    const correlation = sampleCorrelation({ episodes, window: { from: AS_OF - 730.5 * DAY_MS, to: AS_OF } });
    const energy = tripEnergy(sampleRecords(), correlation, AS_OF, params);
    expect(energy.tripsPerYear).toBeCloseTo(5, 6);
    expect(energy.lightHoursPerYear).toBeCloseTo(30, 6);
    expect(energy.kwhPerYear).toBeCloseTo((30 / 4383) * 17000, 6);
  });

  test("an unknown end counts its assumed hours, a long one is halved and capped", () => {
    const one = (hours: number | null) =>
      tripEnergy(
        sampleRecords(),
        sampleCorrelation({
          episodes: [sampleEpisode(AS_OF - 300 * DAY_MS, hours)],
          window: { from: AS_OF - 365.25 * DAY_MS, to: AS_OF },
        }),
        AS_OF,
        params,
      ).lightHoursPerYear;
    expect(one(null)).toBeCloseTo(params.unknownOutageHours, 6);
    expect(one(48)).toBeCloseTo(24, 6);
    expect(one(2400)).toBeCloseTo(params.longestOutageHours, 6);
  });

  test("without a log window nothing is counted and that is said", () => {
    const energy = tripEnergy(sampleRecords(), sampleCorrelation({ window: null }), AS_OF, params);
    expect(energy.kwhPerYear).toBe(0);
    expect(energy.assumed.join(" ")).toContain("no log window");
  });
});

describe("expectedAnnualLoss", () => {
  test("one certain cause is its own terms, worked by hand", () => {
    const none = Object.fromEntries(CAUSES.map((cause) => [cause, 0]));
    const loss = lossOf(sampleSite({ access: "public" }), sampleDiagnosis({ ...none, egc_broken: 1 }));
    const entry = loss.byCause[0];
    expect(entry?.cause).toBe("egc_broken");
    expect(entry?.people).toBeCloseTo(0.0006 * 3_000_000, 6);
    expect(entry?.property).toBeCloseTo(0.001 * 0.3 * 40000, 6);
    expect(entry?.escalation).toBeCloseTo(0.1 * 600, 6);
    expect(loss.total).toBeCloseTo(1800 + 12 + 60, 6);
  });

  test("the terms add up to the total, and more of any cause never costs less", () => {
    const p = fc.double({ min: 0, max: 1, noNaN: true });
    fc.assert(
      fc.property(fc.constantFrom(...CAUSES), p, p, (cause, a, b) => {
        const low = lossOf(sampleSite(), sampleDiagnosis({ [cause]: Math.min(a, b) }));
        const high = lossOf(sampleSite(), sampleDiagnosis({ [cause]: Math.max(a, b) }));
        expect(high.total).toBeGreaterThanOrEqual(low.total - 1e-9);
        expect(low.people + low.property + low.energy + low.escalation).toBeCloseTo(low.total, 6);
      }),
    );
  });

  test("unknown access weighs as public and says so", () => {
    const unknown = lossOf(sampleSite({ access: null }));
    expect(unknown.people).toBeCloseTo(lossOf(sampleSite({ access: "public" })).people, 9);
    expect(unknown.assumed.join(" ")).toContain("counted as public");
  });

  test("a site's own money is converted, the account's table is not", () => {
    const dollars = lossOf(sampleSite({ insuredValue: 50000 }));
    const euros = lossOf(sampleSite({ insuredValue: 40000, currency: "EUR" }));
    expect(euros.property).toBeCloseTo(dollars.property, 9);
    expect(euros.people).toBeCloseTo(dollars.people, 9);
    expect(euros.currency).toBe("USD");
  });

  test("a currency without a rate is refused by value, unless the caller must have a figure", () => {
    const input = {
      records: sampleRecords({ site: sampleSite({ currency: "CHF" }) }),
      diagnosis: sampleDiagnosis(),
      correlation: sampleCorrelation(),
      asOf: AS_OF,
      money,
      params,
    };
    expect(expectedAnnualLoss(input)).toEqual({ kind: "no_rate", currency: "CHF" });
    expect(expectedAnnualLoss(input, { ignoreRate: true })).toMatchObject({ currency: "USD" });
  });

  test("a table in another unit scales every sum by the same factor", () => {
    const site = sampleSite({ energyPricePerKwh: null, insuredValue: null });
    expect(lossOf(site, sampleDiagnosis(), sampleCorrelation(), scaleMoney(params, 150)).total).toBeCloseTo(
      150 * lossOf(site).total,
      6,
    );
    expect(() => scaleMoney(params, 0)).toThrow(RangeError);
  });
});

describe("openDeadlines", () => {
  const cover = (over: Partial<Coverage>): Coverage => ({
    coverageId: "W1",
    siteId: "S1",
    kind: "workmanship",
    provider: null,
    startsOn: "2020-01-01",
    endsOn: "2024-06-15",
    limitAmount: null,
    deductibleAmount: null,
    noticeDays: null,
    noticeTo: null,
    policyNumber: null,
    currency: null,
    limitBasis: null,
    trigger: null,
    proofOfLossDays: null,
    suitLimitMonths: null,
    excludes: [],
    conditions: [],
    ...over,
  });
  const open = (over: Partial<Coverage>) =>
    openDeadlines(
      sampleRecords({ coverage: [cover(over)] }),
      sampleDiagnosis({ open_section_bond: 0.6 }),
      AS_OF,
      money,
      params,
    );

  test("only what is in force on the day is open, both ends included", () => {
    expect(open({})).toMatchObject([{ daysLeft: 14 }]);
    expect(open({ endsOn: "2024-06-01" })).toMatchObject([{ daysLeft: 0 }]);
    expect(open({ endsOn: "2024-05-31" })).toEqual([]);
    expect(open({ startsOn: "2024-06-02" })).toEqual([]);
  });

  test("an unknown notice period is never guessed", () => {
    expect(open({})[0]?.says).toContain("Read the contract, notify now.");
    expect(open({ noticeDays: 20 })[0]?.says).toContain("within 20 days of discovery");
  });

  test("limit and deductible bound what is at risk, and no rate means no figure", () => {
    const plain = open({})[0]?.atRisk as number;
    expect(open({ deductibleAmount: 1e6 })[0]?.atRisk).toBe(0);
    expect(open({ limitAmount: 10 })[0]?.atRisk).toBeCloseTo(
      10 * params.coverageValid.workmanship * params.evidenceAccepted,
      9,
    );
    expect(plain).toBeGreaterThan(0);
    expect(open({ currency: "CHF" })[0]?.atRisk).toBeNull();
  });
});
