import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { contractTroubles } from "../../lib/coverage/contract-troubles.ts";
import { type Deadline, siteDeadlines } from "../../lib/coverage/deadlines.ts";
import { dueReminder, REMINDER_DAYS } from "../../lib/coverage/deadlines-reminders.ts";
import { suspectedSince } from "../../lib/coverage/deadlines-suspicion.ts";
import { addDays, addMonths, daysBetween } from "../../lib/coverage/local-days.ts";
import { sampleCoverage } from "../support/sample-coverage.ts";

const found = { discoveryId: "D1", what: "open bond at section A", discoveredOn: "2024-06-01" };
const suspicion = { since: "2024-05-20", atFirstScore: false, p: 0.8, low: 0.6, high: 0.9 };
const of = (deadlines: Deadline[], kind: Deadline["kind"]) => {
  const hit = deadlines.find((d) => d.kind === kind);
  if (!hit) throw new Error(`no ${kind}`);
  return hit;
};
const deadlines = (over: Partial<Parameters<typeof siteDeadlines>[0]> = {}) =>
  siteDeadlines({
    coverage: [sampleCoverage()],
    suspicion: null,
    discoveries: [found],
    sent: [],
    today: "2024-06-11",
    ...over,
  });

describe("siteDeadlines", () => {
  // 2024-06-01 + 30 days is 2024-07-01: June has 30 days.
  test("notice is due the contract's days after discovery, counted on the calendar", () => {
    const notice = of(deadlines(), "notice");
    expect(notice).toMatchObject({ dueOn: "2024-07-01", daysLeft: 20, state: "open", discoveryId: "D1" });
    expect(notice.send.join(" ")).toContain("Warranty desk");
  });

  test("an unknown term is never a date: read the contract, notify now", () => {
    const notice = of(deadlines({ coverage: [sampleCoverage({ noticeDays: null })] }), "notice");
    expect(notice).toMatchObject({ dueOn: null, daysLeft: null, state: "read_contract" });
    expect(notice.says).toContain("Read the contract, notify now.");
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 3000 }), (later) => {
        const at = deadlines({ coverage: [sampleCoverage({ noticeDays: null })], today: addDays("2024-06-01", later) });
        expect(of(at, "notice").dueOn).toBeNull();
      }),
    );
  });

  test("on a policy, proof of loss and suit are unknown until recorded; on a warranty they are not invented", () => {
    const policy = sampleCoverage({ kind: "property_insurance", noticeDays: 10 });
    const bare = deadlines({ coverage: [policy] });
    expect(of(bare, "proof_of_loss")).toMatchObject({ dueOn: null, state: "read_contract" });
    expect(of(bare, "suit")).toMatchObject({ dueOn: null, state: "read_contract" });
    expect(deadlines().map((d) => d.kind)).toEqual(["notice"]);
    const full = deadlines({ coverage: [{ ...policy, proofOfLossDays: 60, suitLimitMonths: 24 }] });
    // 2024-06-01 + 60 days: 29 left in June, 31 in July = 60 -> 2024-07-31.
    expect(of(full, "proof_of_loss").dueOn).toBe("2024-07-31");
    expect(of(full, "suit").dueOn).toBe("2026-06-01");
  });

  test("a warranty that ends before its notice days are over binds by its end; an occurrence policy does not", () => {
    const early = { endsOn: "2024-06-15" };
    expect(of(deadlines({ coverage: [sampleCoverage(early)] }), "notice").dueOn).toBe("2024-06-15");
    const kind = "property_insurance" as const;
    expect(
      of(deadlines({ coverage: [sampleCoverage({ ...early, kind, trigger: "claims_made" })] }), "notice").dueOn,
    ).toBe("2024-06-15");
    expect(
      of(deadlines({ coverage: [sampleCoverage({ ...early, kind, trigger: "occurrence" })] }), "notice").dueOn,
    ).toBe("2024-07-01");
  });

  test("a contract that ended before the discovery has no deadline, but an occurrence policy has to be read now", () => {
    const ended = { endsOn: "2024-05-01" };
    expect(deadlines({ coverage: [sampleCoverage(ended)] })).toEqual([]);
    const occurrence = sampleCoverage({ ...ended, kind: "property_insurance", trigger: "occurrence" });
    const notice = of(deadlines({ coverage: [occurrence] }), "notice");
    expect(notice).toMatchObject({ dueOn: null, state: "read_contract" });
    expect(notice.says).toContain("ended on 2024-05-01");
  });

  test("the model's suspicion gives a prudent day only while nobody has entered a discovery, and never the word due", () => {
    const prudent = of(deadlines({ discoveries: [], suspicion }), "prudent_notice");
    expect(prudent).toMatchObject({ dueOn: "2024-06-19", discoveryId: null });
    expect(prudent.says).toContain("Suspected since 2024-05-20");
    expect(prudent.says).toContain("not a discovery");
    expect(deadlines({ suspicion }).some((d) => d.kind === "prudent_notice")).toBe(false);
    // Days counted from the suspicion are over: today, not a day in the past.
    expect(of(deadlines({ discoveries: [], suspicion, today: "2024-09-01" }), "prudent_notice").dueOn).toBe(
      "2024-09-01",
    );
    expect(deadlines({ discoveries: [], suspicion, today: "2026-02-01" })).toEqual([]);
  });

  test("a notice that was sent closes its deadline, says when it was late, and counts for its own discovery only", () => {
    const sent = [{ coverageId: "W1", discoveryId: "D1", kind: "notice" as const, sentOn: "2024-07-03" }];
    const notice = of(deadlines({ sent, today: "2024-07-10" }), "notice");
    expect(notice).toMatchObject({ state: "sent", sentOn: "2024-07-03" });
    expect(notice.says).toContain("after that day");
    const other = [{ ...found, discoveryId: "D2" }];
    expect(of(deadlines({ sent, discoveries: other, today: "2024-07-10" }), "notice").state).toBe("passed");
  });

  test("the last week is a lapse risk, and the day after is passed", () => {
    const at = (today: string) => of(deadlines({ today }), "notice").state;
    expect([at("2024-06-23"), at("2024-06-24"), at("2024-07-01"), at("2024-07-02")]).toEqual([
      "open",
      "lapse_risk",
      "lapse_risk",
      "passed",
    ]);
  });

  test("what has no day comes first, then the soonest", () => {
    const order = deadlines({
      coverage: [
        sampleCoverage({ coverageId: "B", noticeDays: 60 }),
        sampleCoverage({ coverageId: "C", noticeDays: null }),
        sampleCoverage({ coverageId: "A", noticeDays: 30 }),
      ],
    });
    expect(order.map((d) => d.coverageId)).toEqual(["C", "A", "B"]);
  });
});

describe("dueReminder", () => {
  const notice = (today: string) => of(deadlines({ coverage: [sampleCoverage({ noticeDays: 90 })], today }), "notice");
  test("over the life of a deadline looked at daily, each of 60, 30, 14, 7, 2 comes once, and one more when it is over", () => {
    const keys = new Set<string>();
    const thresholds: (number | null)[] = [];
    for (let day = 0; day < 100; day++) {
      const due = dueReminder(notice(addDays("2024-06-01", day)));
      if (due && !keys.has(due.key)) {
        keys.add(due.key);
        thresholds.push(due.threshold);
      }
    }
    expect(thresholds).toEqual([...REMINDER_DAYS, null]);
  });
  test("after a gap only the nearest one comes", () => {
    expect(dueReminder(notice("2024-06-01"))).toBeNull();
    expect(dueReminder(notice("2024-08-24"))?.threshold).toBe(7);
  });
  test("an unknown term is reminded of at once, and nothing of what was sent", () => {
    const unknown = of(deadlines({ coverage: [sampleCoverage({ noticeDays: null })] }), "notice");
    expect(dueReminder(unknown)).toMatchObject({ threshold: null, says: expect.stringContaining("notify now") });
    expect(dueReminder({ ...unknown, state: "sent" })).toBeNull();
  });
});

describe("dueReminder of the model's prudent day", () => {
  const coverage = [sampleCoverage({ noticeDays: 90 })];
  const prudent = (today: string, since = "2024-05-20") =>
    of(deadlines({ coverage, discoveries: [], suspicion: { ...suspicion, since }, today }), "prudent_notice");

  test("looked at daily for a year, each of 60, 30, 14, 7, 2 comes once and one more when its day is over", () => {
    const keys = new Map<string, number | null>();
    for (let day = 0; day < 365; day++) {
      const due = dueReminder(prudent(addDays("2024-05-20", day)));
      if (due && !keys.has(due.key)) keys.set(due.key, due.threshold);
    }
    expect([...keys.values()]).toEqual([...REMINDER_DAYS, null]);
  });

  test("is worded as suspicion, never as something discovered or due", () => {
    for (const day of [30, 60, 76, 83, 88, 90, 91, 200]) {
      const { says } = dueReminder(prudent(addDays("2024-05-20", day))) ?? { says: "" };
      expect(says).toMatch(/^Suspicion, not a discovery\. /);
      expect(says).toContain("Suspected since 2024-05-20");
      expect(says).not.toMatch(/discovered|\bdue\b/);
    }
    // 2024-05-20 and 90 days are 2024-08-18.
    expect(dueReminder(prudent("2024-08-11"))?.says).toContain("7 days left");
    expect(dueReminder(prudent("2024-08-18"))?.says).toContain("Today");
  });

  test("a suspicion that begins anew reminds anew; a term that is not recorded reminds once, to read the contract", () => {
    expect(dueReminder(prudent("2024-08-11"))?.key).not.toBe(dueReminder(prudent("2024-08-11", "2024-05-21"))?.key);
    const unread = (today: string) =>
      dueReminder(
        of(
          deadlines({ coverage: [sampleCoverage({ noticeDays: null })], discoveries: [], suspicion, today }),
          "prudent_notice",
        ),
      );
    expect(unread("2024-06-01")).toMatchObject({ threshold: null, says: expect.stringContaining("Read the contract") });
    expect(unread("2024-09-01")?.key).toBe(unread("2024-06-01")?.key);
  });
});

describe("suspectedSince", () => {
  const at = (day: string, p: number) => ({ asOf: Date.parse(`${day}T18:00:00Z`), p, low: p - 0.1, high: p + 0.1 });
  test("goes back over the unbroken run of scores to its first day in the site's zone", () => {
    const history = [at("2024-01-01", 0.7), at("2024-02-01", 0.4), at("2024-03-01", 0.6), at("2024-04-01", 0.8)];
    expect(suspectedSince(history, "America/Chicago")).toMatchObject({
      since: "2024-03-01",
      atFirstScore: false,
      p: 0.8,
    });
    expect(suspectedSince(history.slice(2), "America/Chicago")?.atFirstScore).toBe(true);
    const late = [{ asOf: Date.parse("2024-03-01T02:00:00Z"), p: 0.9, low: 0.8, high: 1 }];
    expect(suspectedSince(late, "America/Chicago")?.since).toBe("2024-02-29");
  });
  test("is nothing where the newest score is below, or there is none", () => {
    expect(suspectedSince([at("2024-01-01", 0.9), at("2024-02-01", 0.49)], "UTC")).toBeNull();
    expect(suspectedSince([], "UTC")).toBeNull();
  });
});

describe("local days", () => {
  test("months keep the day or take the month's last, leap years too", () => {
    expect(addMonths("2024-01-31", 1)).toBe("2024-02-29");
    expect(addMonths("2023-01-31", 1)).toBe("2023-02-28");
    expect(addMonths("2024-02-29", 12)).toBe("2025-02-28");
    expect(addMonths("2024-11-15", 14)).toBe("2026-01-15");
  });
  test("days are calendar days, whatever a clock did between them", () => {
    fc.assert(
      fc.property(fc.integer({ min: 0, max: 40_000 }), fc.integer({ min: -4000, max: 4000 }), (start, days) => {
        const day = addDays("1970-01-01", start);
        expect(daysBetween(day, addDays(day, days))).toBe(days);
      }),
    );
  });
});

describe("contractTroubles", () => {
  const of = (...all: Partial<Parameters<typeof sampleCoverage>[0] & object>[]) =>
    contractTroubles(all.map((o) => sampleCoverage(o)));
  test("a contract in order has none", () => {
    expect(of({})).toEqual([]);
  });
  test("names an end before the start, a limit below the deductible and a missing currency", () => {
    expect(of({ startsOn: "2024-05-02", endsOn: "2024-05-01" }).map((t) => t.what)).toEqual(["end_before_start"]);
    expect(of({ limitAmount: 100, deductibleAmount: 500 })[0]).toMatchObject({
      what: "limit_below_deductible",
      says: expect.stringContaining("500"),
    });
    expect(of({ currency: null }).map((t) => t.what)).toEqual(["currency_missing"]);
    expect(of({ currency: null, limitAmount: null, deductibleAmount: null })).toEqual([]);
    expect(of({ limitAmount: 500, deductibleAmount: 500 })).toEqual([]);
  });
  test("an overlap is of one kind at one site, and days count at both ends", () => {
    const a = { coverageId: "A", startsOn: "2024-01-01", endsOn: "2024-12-31" };
    expect(of(a, { coverageId: "B", startsOn: "2024-12-31", endsOn: "2025-12-31" })).toMatchObject([
      { what: "overlap", coverageIds: ["A", "B"], says: expect.stringContaining("from 2024-12-31 to 2024-12-31") },
    ]);
    expect(of(a, { coverageId: "B", startsOn: "2025-01-01", endsOn: "2025-12-31" })).toEqual([]);
    expect(of(a, { ...a, coverageId: "B", siteId: "S2" })).toEqual([]);
    expect(of(a, { ...a, coverageId: "B", kind: "equipment" })).toEqual([]);
  });
});
