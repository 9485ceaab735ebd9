import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { CAUSES, type Cause, COVERAGE_CONDITIONS, type Coverage } from "../../lib/core/records.ts";
import { noticeStates, provenChances, type SiteProof } from "../../lib/coverage/answer-chances.ts";
import { EVIDENCE_ITEMS, type EvidenceItem } from "../../lib/coverage/completeness-weights.ts";
import type { ConditionFinding } from "../../lib/coverage/conditions.ts";
import { siteDeadlines } from "../../lib/coverage/deadlines.ts";
import { siteLoss } from "../../lib/coverage/loss-book.ts";
import { DEFAULT_LOSS_PARAMETERS, type LossParameters } from "../../lib/coverage/loss-parameters.ts";
import { recoveryGains } from "../../lib/coverage/recovery-gains.ts";
import { sampleCoverage } from "../support/loss-cases.ts";
import { sampleInverter, sampleSection, sampleSite } from "../support/sample-site.ts";

type States = Partial<Record<(typeof COVERAGE_CONDITIONS)[number], ConditionFinding["state"]>>;

function proof(there: readonly EvidenceItem[], states: States = {}, notices: SiteProof["notices"] = new Map()) {
  return {
    items: EVIDENCE_ITEMS.map((item) => ({ item, present: there.includes(item), says: `about ${item}` })),
    conditions: COVERAGE_CONDITIONS.map((condition) => ({
      ...{ condition, state: states[condition] ?? ("met" as const) },
      ...{ says: "found so.", record: null, restores: states[condition] ? "Put it right." : null },
    })),
    notices,
  } satisfies SiteProof;
}

// Repairs always cost what is expected, so that the sums can be followed by hand.
const params: LossParameters = { ...DEFAULT_LOSS_PARAMETERS, repairSpread: 0 };
const money = { accountCurrency: "USD", rates: new Map<string, number>() };
const context = { asOf: Date.UTC(2026, 10, 1), money, params };
const noCause = Object.fromEntries(CAUSES.map((c) => [c, 0])) as Record<Cause, number>;

/** An open bond with probability one half: 450 to repair, of which a contract pays 400 over its deductible of 50. */
function scored(given: SiteProof, coverage: Partial<Coverage>[]) {
  return {
    records: {
      site: sampleSite(),
      inverters: [sampleInverter()],
      sections: [sampleSection()],
      coverage: coverage.map((over) => sampleCoverage({ deductibleAmount: 50, ...over })),
    },
    causes: { ...noCause, open_section_bond: 0.5 },
    bonding: { p: 0.5, low: 0.3, high: 0.7 },
    log: { window: null, episodes: [] },
    proof: given,
  };
}
function reckoned(given: SiteProof, coverage: Partial<Coverage>[]) {
  const site = scored(given, coverage);
  const loss = siteLoss(site, context);
  return { loss, found: recoveryGains(site, loss, context) };
}
const worth = (found: ReturnType<typeof recoveryGains>, name: string) =>
  found?.gains.find((g) => g.name === name)?.worth;

describe("provenChances", () => {
  const chances = (given: SiteProof, over: Partial<Coverage>) => provenChances(given, params)(sampleCoverage(over));

  test("with every condition met and all evidence there, only the kind's chance and the notice are left", () => {
    const conditions: Coverage["conditions"] = [...COVERAGE_CONDITIONS];
    expect(chances(proof(EVIDENCE_ITEMS), { conditions })).toEqual({
      ...{ valid: 0.7, conditions: 1, notice: 0.9 },
      evidence: expect.closeTo(0.9, 12),
    });
  });

  test("only conditions that the contract names count; broken and unknown ones multiply; none recorded is not met", () => {
    const states: States = { annual_inspection: "broken", documented_repairs: "unknown", licensed_installer: "broken" };
    const of = (conditions: Coverage["conditions"]) => chances(proof([], states), { conditions }).conditions;
    expect(of(["annual_inspection", "documented_repairs"])).toBeCloseTo(0.7 * 0.9, 12);
    expect(of(["annual_inspection", "annual_inspection"])).toBeCloseTo(0.7, 12);
    expect(of(["code_compliant_grounding"])).toBe(1);
    expect(of([])).toBe(0.85);
  });

  test("notice: out in time, late, still to come, and days that nobody recorded", () => {
    const of = (notices: SiteProof["notices"], noticeDays: number | null) =>
      chances(proof([], {}, notices), { noticeDays }).notice;
    expect(of(new Map([["W1", "sent"]]), 30)).toBe(0.97);
    expect(of(new Map([["W1", "late"]]), 30)).toBe(0.2);
    expect(of(new Map(), 30)).toBe(0.9);
    expect(of(new Map(), null)).toBe(0.7);
  });

  test("more proof never lowers a chance, whatever is there already", () => {
    const state = fc.constantFrom("met" as const, "broken" as const, "unknown" as const);
    fc.assert(
      fc.property(
        fc.subarray([...EVIDENCE_ITEMS]),
        fc.tuple(state, state, state, state),
        fc.subarray([...COVERAGE_CONDITIONS]),
        fc.constantFrom(...EVIDENCE_ITEMS),
        fc.constantFrom(...COVERAGE_CONDITIONS),
        (there, states, conditions, item, condition) => {
          const given = proof(there, Object.fromEntries(COVERAGE_CONDITIONS.map((c, i) => [c, states[i]])));
          const chance = (got: object) => {
            const c = provenChances(given, params, got)(sampleCoverage({ conditions, noticeDays: null }));
            return c.valid * c.conditions * c.evidence * c.notice;
          };
          const now = chance({});
          for (const got of [{ item }, { condition }, { termsRead: true }, { noticeRead: true }])
            expect(chance(got)).toBeGreaterThanOrEqual(now);
          expect(chance({ everything: true })).toBeGreaterThanOrEqual(chance({ item }));
        },
      ),
    );
  });
});

describe("recoveryGains", () => {
  test("by hand: a broken inspection, a repair record unknown and a photo alone", () => {
    const states: States = { annual_inspection: "broken", documented_repairs: "unknown" };
    const given = proof(["dated_photo"], states);
    const { loss, found } = reckoned(given, [{ conditions: ["annual_inspection", "documented_repairs"] }]);
    // 0.5 x 400 x [0.7 x (0.7 x 0.9) x 0.425733 x 0.9]; the 0.425733 is by hand in completeness.test.ts.
    expect(loss.net.recovered).toBeCloseTo(33.7947, 3);
    expect(loss.net.net).toBeCloseTo(loss.net.gross - 33.7947, 3);
    // Met, the 0.7 of the broken condition is 1: 33.7947 / 0.7 - 33.7947. The unknown one: / 0.9.
    expect(worth(found, "annual_inspection")).toBeCloseTo(14.4835, 3);
    expect(worth(found, "documented_repairs")).toBeCloseTo(3.755, 3);
    // With a measured value the evidence is 0.613451 likely to be accepted: 33.7947 x (0.613451 / 0.425733 - 1).
    expect(worth(found, "measured_value")).toBeCloseTo(14.9009, 3);
    // All of it: 200 x 0.7 x 1 x 0.9 x 0.9 - 33.7947.
    expect(found?.all).toBeCloseTo(79.6053, 3);
    expect(found?.completeness).toBeCloseTo(0.18, 12);
    expect(found?.gains.map((g) => g.name).slice(0, 2)).toEqual(["measured_value", "annual_inspection"]);
    expect(found?.gains.some((g) => g.name === "dated_photo" || g.name === "licensed_installer")).toBe(false);
  });

  test("by hand: two contracts for one loss: what the first lacks is worth only what the second would not pay", () => {
    // Both without any item or condition recorded: chance 0.7 x 0.85 x 0.3 x 0.9 = 0.16065. One answers: 400; both: the
    // first pays 400, the second nothing of the 50 that are below its deductible. 200 x (1 - 0.83935^2) = 59.0983.
    const given = proof([]);
    const { loss, found } = reckoned(given, [{ startsOn: "2020-01-01" }, { coverageId: "W2", startsOn: "2021-01-01" }]);
    expect(loss.net.recovered).toBeCloseTo(59.0983, 3);
    // Terms read and met: chance 0.189 each: 200 x (1 - 0.811^2) = 68.4558.
    expect(worth(found, "conditions")).toBeCloseTo(68.4558 - 59.0983, 3);
    expect(found?.gains.find((g) => g.name === "conditions")?.coverageIds).toEqual(["W1", "W2"]);
  });

  test("the expected recovery hangs on the proof, and nothing else of the loss does", () => {
    const bare = reckoned(proof([]), [{}]).loss;
    const full = reckoned(proof(EVIDENCE_ITEMS), [{ conditions: ["annual_inspection"] }]).loss;
    expect(full.net.gross).toBe(bare.net.gross);
    expect(full.net.recovered).toBeGreaterThan(bare.net.recovered);
    expect(full.draw.terms.terms[0]?.chance).toBeCloseTo(0.7 * 0.9 * 0.9, 12);
  });

  test("no contract that counts, or none at all, leaves nothing to be worth anything", () => {
    expect(reckoned(proof([]), []).found).toBeNull();
    expect(reckoned(proof([]), [{ endsOn: "2021-01-01" }]).found).toBeNull();
    const complete = reckoned(proof(EVIDENCE_ITEMS), [{ conditions: ["annual_inspection"] }]).found;
    expect(complete).toMatchObject({ gains: [], all: 0 });
  });
});

describe("noticeStates", () => {
  const states = (discoveredOn: string, sentOn: string | null, today: string) =>
    noticeStates(
      siteDeadlines({
        coverage: [sampleCoverage()],
        suspicion: null,
        discoveries: [{ discoveryId: "D1", what: "open bond", discoveredOn }],
        sent: sentOn ? [{ coverageId: "W1", discoveryId: "D1", kind: "notice", sentOn }] : [],
        today,
      }),
    ).get("W1");

  test("30 days from discovery: sent within, sent after, over without, still open", () => {
    expect(states("2026-01-01", "2026-01-31", "2026-03-01")).toBe("sent");
    expect(states("2026-01-01", "2026-02-01", "2026-03-01")).toBe("late");
    expect(states("2026-01-01", null, "2026-02-01")).toBe("late");
    expect(states("2026-01-01", null, "2026-01-20")).toBeUndefined();
  });

  test("of two claims under one contract the worse one counts", () => {
    const discoveries = ["D1", "D2"].map((discoveryId) => ({ discoveryId, what: "bond", discoveredOn: "2026-01-01" }));
    const sent = [{ coverageId: "W1", discoveryId: "D1", kind: "notice" as const, sentOn: "2026-01-05" }];
    const at = (today: string) =>
      noticeStates(siteDeadlines({ coverage: [sampleCoverage()], suspicion: null, discoveries, sent, today })).get(
        "W1",
      );
    expect(at("2026-01-20")).toBeUndefined();
    expect(at("2026-02-20")).toBe("late");
  });
});
