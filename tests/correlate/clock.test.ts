import { describe, expect, test } from "vitest";
import { seededRng } from "../../lib/core/random.ts";
import type { SiteRecords } from "../../lib/core/records.ts";
import { CLOCK_READINGS, clockAheadHours, clockOffset } from "../../lib/correlate/clock-offset.ts";
import { clockSource, correctClock } from "../../lib/correlate/correct-clock.ts";
import { correlateSite } from "../../lib/correlate/correlate-site.ts";
import { makeFaults, makeSky, type Nature, siteInput } from "../study/world.ts";

const SKY = makeSky("clock-test", 8);
const WET: Nature = { perYear: 12, driver: "any_wet", ratio: 5 };
const ZONE = "America/Chicago";

function evidenceOf(nature: Nature, onsets: number, seed: string) {
  const rows = makeFaults(SKY, nature, seededRng(seed)).slice(0, onsets);
  return correlateSite(siteInput(SKY, rows)).clock.map((c) => c.evidence);
}

describe("clockOffset", () => {
  test.each([-12, -5, 3, 7, 12])("proposes the correction of a clock that is %i h off, from 120 onsets", (hours) => {
    const found = clockOffset(evidenceOf({ ...WET, clockHours: hours }, 120, `off/${hours}`));
    expect(found?.proposal).toEqual({ offsetHours: hours, summerHours: 0 });
    expect(found?.darkAsRead as number).toBeLessThan(found?.darkAsLogged as number);
  });

  test("proposes that a log misses summer time", () => {
    const found = clockOffset(evidenceOf({ ...WET, summerHours: 1 }, 170, "summer"));
    expect(found?.proposal).toEqual({ offsetHours: 0, summerHours: 1 });
  });

  test("leaves right clocks alone, whether or not water moves the site", () => {
    for (let i = 0; i < 30; i++) {
      expect(clockOffset(evidenceOf(WET, 60, `right/${i}`))?.proposal).toBeNull();
      expect(clockOffset(evidenceOf({ perYear: 12 }, 60, `calm/${i}`))?.proposal).toBeNull();
    }
  });

  test("sites that share a log tell together what none of them tells alone", () => {
    const sites = Array.from({ length: 8 }, (_, i) => evidenceOf({ ...WET, clockHours: 4 }, 7, `shared/${i}`));
    expect(sites.every((s) => clockOffset(s)?.proposal === null)).toBe(true);
    expect(clockOffset(sites.flat())?.proposal).toEqual({ offsetHours: 4, summerHours: 0 });
  });

  test("posterior over offsets sums to one, and no onset gives no answer", () => {
    const found = clockOffset(evidenceOf(WET, 30, "sum"));
    expect(found?.byOffset.reduce((sum, b) => sum + b.probability, 0)).toBeCloseTo(1, 9);
    expect(found?.scanHours).toContain(0);
    expect(clockOffset([])).toBeNull();
  });
});

describe("correctClock", () => {
  const reading = { offsetHours: 5, summerHours: 1 };
  const truth = siteInput(SKY, makeFaults(SKY, WET, seededRng("correct")));
  const logged = siteInput(SKY, makeFaults(SKY, { ...WET, clockHours: 5, summerHours: 1 }, seededRng("correct")));
  const source = clockSource("S1", truth.records.inverters[0]?.logSource ?? null);

  test("gives back the true times of every row that the clock stamped, and leaves what people dated", () => {
    const { records, isCorrected } = correctClock(logged.records, logged.logWindows, new Map([[source, reading]]));
    expect(isCorrected).toBe(true);
    // Within the two hours in which summer time changes the log itself does not say which side it is on.
    const off = records.faults.filter((f, k) => f.startedAt !== truth.records.faults[k]?.startedAt).length;
    expect(off).toBeLessThanOrEqual(2);
    expect(records.inspections).toBe(logged.records.inspections);
  });

  test("without a correction for its source the records are the same objects", () => {
    const same = correctClock(logged.records, logged.logWindows, new Map([["log/another", reading]]));
    expect(same.records).toBe<SiteRecords>(logged.records);
    expect(same.isCorrected).toBe(false);
  });

  test("a corrected log finds the water that the wrong clock hid", () => {
    const wrong = correlateSite(logged).weather;
    const corrected = correctClock(logged.records, logged.logWindows, new Map([[source, reading]]));
    const right = correlateSite({ ...logged, ...corrected, clockScanHours: [-1, 0, 1] }).weather;
    expect(right.rateRatio as number).toBeGreaterThan(1.5 * (wrong.rateRatio as number));
    expect(right.pValue as number).toBeLessThan(0.001);
  });
});

describe("clockAheadHours", () => {
  test("adds the summer mistake in summer time only", () => {
    const reading = { offsetHours: 2, summerHours: -1 };
    expect(clockAheadHours(reading, Date.UTC(2024, 0, 15), ZONE)).toBe(2);
    expect(clockAheadHours(reading, Date.UTC(2024, 6, 15), ZONE)).toBe(1);
    expect(CLOCK_READINGS).toContainEqual({ offsetHours: -12, summerHours: 0 });
  });
});
