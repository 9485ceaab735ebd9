import { mkdtempSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import ICAL from "ical.js";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readCalendarFeed } from "../../lib/reads/calendar-feed.ts";
import { daySheetPdf, planCsv } from "../../lib/reads/day-sheet.ts";
import { readDispatchHistory } from "../../lib/reads/dispatch-history.ts";
import { readGoingOut } from "../../lib/reads/going-out.ts";
import { readPlanBoard } from "../../lib/reads/plan-board.ts";
import { readToday } from "../../lib/reads/today.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { endCalendarFeed, makeCalendarFeed } from "../../lib/writes/calendar-feed.ts";
import { changePlan } from "../../lib/writes/change-plan.ts";
import { confirmPlan } from "../../lib/writes/confirm-plan.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";

import { writeDemoDrop } from "../../seed/write-demo.ts";
import { pdfPages } from "../support/pdf-text.ts";
import { makePlan } from "../support/plan-now.ts";
import { useTestDatabase } from "../support/test-database.ts";

useTestDatabase();
let data = "";
let planId = "";
const FROM = "2026-11-30";
const NOW = Date.parse("2026-11-30T16:00:00Z");

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-out-"));
  process.env.RAINTRIP_DATA = data;
  const folder = path.join(data, "drop");
  await writeDemoDrop(folder, { seed: "demo", sites: 40, days: 200, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [folder]);
  await systemTransaction(
    LOCAL_ACTOR,
    (tx) => tx`UPDATE site SET name = '=HYPERLINK("x")' || name WHERE site_id < 'S010'`,
  );
  await refreshScores(LOCAL_ACTOR, { now: Date.UTC(2026, 10, 28) });
  ({ planId } = await makePlan(LOCAL_ACTOR, { from: FROM, days: 2, effort: 40 }));
  await confirmPlan(LOCAL_ACTOR, planId, { revision: 1 });
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const board = () => readPlanBoard(LOCAL_ACTOR, planId);
async function busiest() {
  const [day] = [...(await board()).crewDays].sort((a, b) => b.stops.length - a.stops.length);
  if (!day || day.stops.length === 0) throw new Error("the demo has no stop");
  return day;
}

describe("a crew's calendar", () => {
  test("another reader of iCalendar finds the confirmed stops at their hours, and a moved visit keeps its UID", async () => {
    const day = await busiest();
    const { path: link } = await makeCalendarFeed(LOCAL_ACTOR, { crewId: day.crewId });
    const read = async () => {
      const text = await readCalendarFeed(link.replace("/calendar/", ""), NOW);
      // RFC 5545, 3.1: lines end with CRLF and are no longer than 75 octets.
      for (const line of text.split("\r\n")) expect(Buffer.byteLength(line)).toBeLessThanOrEqual(75);
      const calendar = new ICAL.Component(ICAL.parse(text));
      expect(calendar.getFirstPropertyValue("version")).toBe("2.0");
      return calendar.getAllSubcomponents("vevent").map((event) => new ICAL.Event(event));
    };
    const events = await read();
    const stops = (await board()).crewDays.filter((d) => d.crewId === day.crewId).flatMap((d) => d.stops);
    expect(events.map((event) => event.uid).sort()).toEqual(stops.map((stop) => `${stop.visitId}@raintrip`).sort());
    const first = day.stops[0] as (typeof day.stops)[number];
    const event = events.find((each) => each.uid === `${first.visitId}@raintrip`);
    // The demo's crews live in America/Chicago, six hours behind UTC in winter.
    const utc = (minute: number) =>
      new Date(Date.parse(`${day.day}T06:00:00Z`) + minute * 60_000).toISOString().slice(0, 16);
    expect(event?.startDate.toJSDate().toISOString().slice(0, 16)).toBe(utc(first.from));
    expect(event?.endDate.toJSDate().toISOString().slice(0, 16)).toBe(utc(first.to));
    expect(event?.summary).toContain(first.siteName);
    expect(event?.description).toMatch(/Treat all metal as live/);
    const { revision } = await board();
    await changePlan(LOCAL_ACTOR, planId, {
      revision,
      reason: "asked for",
      change: { kind: "take_out", visitId: first.visitId },
    });
    const after = await read();
    expect(after.map((each) => each.uid)).not.toContain(event?.uid);
    expect(after[0]?.sequence ?? 99).toBeGreaterThan(event?.sequence ?? 0);
  });

  test("the secret is not in the database, and a link that was ended, altered or made up answers nothing", async () => {
    const { path: link } = await makeCalendarFeed(LOCAL_ACTOR, { crewId: "C1" });
    const name = link.replace("/calendar/", "");
    const secret = name.replace(/^\d+-[0-9a-f]+-|\.ics$/g, "");
    const rows = await readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT to_jsonb(f)::text AS row FROM calendar_feed f`);
    expect(JSON.stringify(rows)).not.toContain(secret);
    const audit = await readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT detail::text AS d FROM audit_entry`);
    expect(JSON.stringify(audit)).not.toContain(secret);
    await readCalendarFeed(name, NOW);
    const wrong = `${name.slice(0, -5)}${name.at(-5) === "A" ? "B" : "A"}.ics`;
    await expect(readCalendarFeed(wrong, NOW)).rejects.toThrow(/no such calendar/);
    await expect(readCalendarFeed(name.replace(/^1-/, "2-"), NOW)).rejects.toThrow(/no such calendar/);
    await expect(readCalendarFeed("x", NOW)).rejects.toThrow(/no such calendar/);
    const [feed] = (await readGoingOut(LOCAL_ACTOR)).feeds;
    await endCalendarFeed(LOCAL_ACTOR, { feedId: feed?.feedId ?? "" });
    await expect(readCalendarFeed(name, NOW)).rejects.toThrow(/no such calendar/);
  });
});

describe("the phone's day", () => {
  test("is the confirmed route of the crew, and another day says so", async () => {
    const day = await busiest();
    const today = await readToday(LOCAL_ACTOR, { crew: day.crewId, day: day.day }, NOW);
    expect(today.route?.stops.map((stop) => [stop.visitId, stop.start])).toEqual(
      day.stops.map((s) => [s.visitId, s.start]),
    );
    expect(today.isToday).toBe(day.day === FROM);
    const before = await readToday(LOCAL_ACTOR, { crew: day.crewId, day: "2026-11-27" }, NOW);
    expect(before).toMatchObject({ route: null, next: expect.any(String) });
    expect(await readToday(LOCAL_ACTOR, {}, NOW)).toMatchObject({ crew: null, route: null });
  });
});

describe("on paper and in a spreadsheet", () => {
  test("the day sheet has every stop with its hours, its checks and the cautions", async () => {
    const day = await busiest();
    const reply = await daySheetPdf(LOCAL_ACTOR, planId, { crew: day.crewId, day: day.day }, NOW);
    expect(reply.headers.get("content-type")).toBe("application/pdf");
    const text = (await pdfPages(new Uint8Array(await reply.arrayBuffer())))
      .map((page) => page.body)
      .join(" ")
      .replace(/\s+/g, " ");
    for (const stop of day.stops) {
      expect(text).toContain(stop.visitId);
      expect(text).toContain(`${stop.start} to ${stop.depart}`);
    }
    expect(text).toContain("Treat all metal as live");
    expect(text).toContain("Never open a bond");
  });

  test("no cell of the CSV is a formula, and every visit of the plan is a line", async () => {
    const text = await (await planCsv(LOCAL_ACTOR, planId)).text();
    const view = await board();
    const lines = text.trimEnd().split("\r\n");
    expect(lines).toHaveLength(1 + view.unserved.length + view.crewDays.flatMap((d) => d.stops).length);
    expect(text).toContain("'=HYPERLINK");
    expect(text).not.toMatch(/(^|,|")[=+@]/m);
  });
});

describe("readDispatchHistory", () => {
  test("a visit that was made, with what was found, stands against what was expected; without any it says so", async () => {
    expect((await readDispatchHistory(LOCAL_ACTOR, Date.parse("2026-11-29T12:00:00Z"))).all).toMatchObject({
      sent: 0,
      finds: null,
    });
    const day = await busiest();
    const stop = day.stops[0] as (typeof day.stops)[number];
    const at = Date.parse(`${day.day}T06:00:00Z`) + stop.from * 60_000;
    await systemTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`UPDATE visit SET status = 'done' WHERE account_id = current_account() AND visit_id = ${stop.visitId}`;
      const edit = (n: number, field: string, value: string, hours: number) => tx`
        INSERT INTO visit_edit (account_id, edit_id, visit_id, site_id, item, field, value, written_at, written_by, device, seq)
        VALUES (current_account(), ${`00000000-0000-4000-8000-00000000000${n}`}, ${stop.visitId}, ${stop.siteId}, 'visit', ${field}, ${value},
          ${new Date(at + hours * 3_600_000)}, 'A. Tester', 'phone', ${n})`;
      await edit(1, "state", "arrived", 0.25);
      await edit(2, "signed", "A. Tester", 3.75);
      await tx`INSERT INTO repair (account_id, site_id, repaired_at, repaired_day_only, cause, section_id, inverter_id, confirmed)
        VALUES (current_account(), ${stop.siteId}, ${new Date(at + 3_600_000)}, false, 'open_section_bond', '', '', 'yes')`;
    });
    const view = await readDispatchHistory(LOCAL_ACTOR, Date.parse("2026-12-05T12:00:00Z"));
    expect(view.all).toMatchObject({
      made: 1,
      hours: { n: 1, taken: 3.5 },
      finds: { n: 1, found: 1, verdict: "too_few_visits" },
    });
    expect(view.all.finds?.expected.found).toBeGreaterThan(0);
    expect(view.byCrew.reduce((sum, crew) => sum + crew.record.sent, 0)).toBe(view.all.sent);
  });
});
