import { describe, expect, test } from "vitest";
import { CAUSES } from "../../lib/core/records.ts";
import { expectedAnnualLoss } from "../../lib/coverage/expected-annual-loss.ts";
import { causeSeverities, netAnnualLoss } from "../../lib/coverage/loss-net.ts";
import { DEFAULT_LOSS_PARAMETERS } from "../../lib/coverage/loss-parameters.ts";
import { sampleTerm } from "../support/loss-cases.ts";
import { AS_OF, sampleCorrelation, sampleDiagnosis, sampleRecords, sampleSite } from "../support/sample-site.ts";

const none = Object.fromEntries(CAUSES.map((cause) => [cause, 0]));
const params = { ...DEFAULT_LOSS_PARAMETERS, repairSpread: 0, propertySpread: 0, peopleSpread: 0 };
const money = { accountCurrency: "USD", rates: new Map() };
function severities(causes: Record<string, number>, table = params) {
  const loss = expectedAnnualLoss({
    records: sampleRecords({ site: sampleSite({ access: "public", insuredValue: 40_000 }) }),
    diagnosis: sampleDiagnosis({ ...none, ...causes }),
    correlation: sampleCorrelation(),
    asOf: AS_OF,
    money,
    params: table,
  });
  if ("kind" in loss) throw new Error("a rate is known");
  return { loss, of: causeSeverities(loss, table) };
}
const BAND = { p: 0.5, low: 0.25, high: 0.75 };

describe("netAnnualLoss", () => {
  test("one certain cause with a warranty and two policies, worked by hand", () => {
    // egc_broken: repair 600, a tenth more for a year's delay; property 0.001 x 0.3 x 40,000 = 12; people 0.0006 x 3M = 1,800.
    const { of } = severities({ egc_broken: 1 });
    const terms = [
      sampleTerm({ coverageId: "W", deductible: 100, chance: 0.5 }),
      sampleTerm({ coverageId: "P", claim: "property", kind: "property_insurance", deductible: 2000, limit: 5000 }),
      sampleTerm({ coverageId: "L", claim: "people", kind: "liability_insurance", limit: 1_000_000, chance: 0.4 }),
    ];
    const net = netAnnualLoss(of, { terms, remarks: [] }, BAND);
    expect(net.byContract).toEqual([
      { coverageId: "W", recovered: expect.closeTo(0.5 * 500, 9) },
      { coverageId: "P", recovered: expect.closeTo(0.001 * 5000, 9) },
      { coverageId: "L", recovered: expect.closeTo(0.0006 * 0.4 * 1_000_000, 9) },
    ]);
    expect(net.gross).toBeCloseTo(600 + 60 + 12 + 1800, 9);
    expect(net.net).toBeCloseTo(2472 - 250 - 5 - 240, 9);
    expect(net.byCause[0]).toMatchObject({ cause: "egc_broken", repair: 600, escalation: 60 });
  });

  test("without contracts net is gross: the expected annual loss and the repair itself", () => {
    const { of, loss } = severities({ open_section_bond: 0.3, detector_fault: 0.2 });
    const net = netAnnualLoss(of, { terms: [], remarks: [] }, BAND);
    expect(net.net).toBe(net.gross);
    expect(net.gross).toBeCloseTo(loss.total + 0.3 * 450 + 0.2 * 1200, 6);
    expect(net.byCause.reduce((sum, c) => sum + c.net, 0)).toBeCloseTo(net.net, 9);
  });

  test("the band moves with the bonding family alone and never past certainty", () => {
    const { of } = severities({ open_section_bond: 0.5, detector_fault: 0.2 });
    const net = netAnnualLoss(of, { terms: [], remarks: [] }, BAND);
    const detector = net.byCause.find((c) => c.cause === "detector_fault")?.net ?? 0;
    expect(net.netLow).toBeLessThan(net.net);
    expect(net.netLow - detector).toBeCloseTo((net.net - detector) / 2, 6);
    const sure = netAnnualLoss(
      severities({ open_section_bond: 0.9 }).of,
      { terms: [], remarks: [] },
      { p: 0.9, low: 0.9, high: 1 },
    );
    expect(sure.netHigh).toBeCloseTo(sure.net / 0.9, 6);
  });
});
