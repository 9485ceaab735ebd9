import { describe, expect, test } from "vitest";
import { writeReminders } from "../../../lib/jobs/coverage-reminders.ts";
import { refreshScores } from "../../../lib/jobs/refresh-scores.ts";
import { readCoverage, readDeadlineCalendar } from "../../../lib/reads/coverage.ts";
import { readQueue } from "../../../lib/reads/queue.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction, writeTransaction } from "../../../lib/store/transaction.ts";
import { acknowledgeReminder } from "../../../lib/writes/acknowledge-reminder.ts";
import { keepPaper } from "../../../lib/writes/coverage-paper.ts";
import { enterHandover, enterPart } from "../../../lib/writes/custody.ts";
import { DiscoveryBody, enterDiscovery } from "../../../lib/writes/discovery.ts";
import { recordNotice } from "../../../lib/writes/notice-sent.ts";
import { fileRequest, samplePng } from "../../support/sample-files.ts";
import { audit, book, by, DAY_MS, database, NOW, siteId, view } from "./scene.ts";

describe("claim", () => {
  let discoveryId = "";

  test("a discovery takes the database's time, names its person, and no date can be sent along", async () => {
    expect(
      DiscoveryBody.safeParse({ siteId, what: "open bond", reason: "measured", by, discoveredOn: "2020-01-01" })
        .success,
    ).toBe(false);
    const made = await enterDiscovery(LOCAL_ACTOR, { siteId, what: "open bond", reason: "measured 4 ohm", by });
    discoveryId = made.discovery_id;
    const [line] = (await view()).discoveries;
    expect(line).toMatchObject({ what: "open bond", by, on: made.discovered_on, ended: null });
    expect(Math.abs(Date.parse(line?.at ?? "") - Date.now())).toBeLessThan(60_000);
    expect((await audit("discovery.enter"))[0]?.detail).toMatchObject({ discoveryId, reason: "measured 4 ohm", by });
  });

  test("the application cannot write or change the time of a discovery, nor delete one", async () => {
    const tries = [
      (
        tx: Parameters<Parameters<typeof writeTransaction>[1]>[0],
      ) => tx`INSERT INTO discovery (account_id, site_id, discovery_id, what, reason, discovered_by, discovered_at)
        VALUES (current_account(), ${siteId}, gen_random_uuid(), 'x', 'x', 'x', '2020-01-01')`,
      (tx: Parameters<Parameters<typeof writeTransaction>[1]>[0]) =>
        tx`UPDATE discovery SET discovered_at = '2020-01-01'`,
      (tx: Parameters<Parameters<typeof writeTransaction>[1]>[0]) => tx`UPDATE discovery SET reason = 'another'`,
      (tx: Parameters<Parameters<typeof writeTransaction>[1]>[0]) => tx`DELETE FROM discovery`,
    ];
    for (const attempt of tries)
      await expect(
        writeTransaction(LOCAL_ACTOR, async (tx) => {
          await attempt(tx);
          return { result: null, note: null };
        }),
      ).rejects.toThrow(/permission denied/);
  });

  test("its deadlines are those of the contract in force, with the money that hangs on them", async () => {
    const { deadlines, discoveries } = await view();
    const on = discoveries[0]?.on ?? "";
    const due = new Date(Date.parse(`${on}T00:00:00Z`) + 30 * DAY_MS).toISOString().slice(0, 10);
    expect(deadlines.find((d) => d.kind === "notice")).toMatchObject({
      coverageId: "P-A",
      dueOn: due,
      daysLeft: 30,
      state: "open",
      discoveryId,
    });
    expect(deadlines.find((d) => d.kind === "suit")).toMatchObject({ state: "read_contract" });
    expect(deadlines.find((d) => d.kind === "notice")?.atRisk).toBeGreaterThanOrEqual(0);
    const month = await readDeadlineCalendar(LOCAL_ACTOR, { book, month: due.slice(0, 7) }, NOW);
    expect(month.deadlines.some((d) => d.dueOn === due && d.kind === "notice")).toBe(true);
    expect(month.undated.some((d) => d.kind === "suit")).toBe(true);
  });

  test("the checklist asks the carrier before anything is altered, and says what the claim lacks", async () => {
    await refreshScores(LOCAL_ACTOR, { now: NOW });
    const visit = (await readQueue(LOCAL_ACTOR)).visits.find((v) => v.site_id === siteId);
    expect(visit?.before_work?.map((s) => s.step)).toEqual(["ask_carrier", "keep_parts"]);
    expect(visit?.before_work?.[0]?.says).toContain("Claims desk");
    expect(visit?.checklist.some((item) => item.source === "coverage" && item.for_coverage?.length)).toBe(true);
    const others = (await readQueue(LOCAL_ACTOR)).visits.filter((v) => v.site_id !== siteId);
    expect(others.length).toBeGreaterThan(0);
    expect(others.every((v) => v.before_work === undefined)).toBe(true);
  });

  test("reminders are written once each, by any number of rounds and workers, and read by a named person", async () => {
    const reminders = () =>
      readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT subject FROM outbox_alert WHERE kind = 'coverage_deadline'`);
    const rounds = await Promise.all([0, 1, 2].map(() => writeReminders(database(), 1, NOW)));
    expect(rounds.reduce((a, b) => a + b, 0)).toBe((await reminders()).length);
    const first = (await reminders()).length;
    // Notice and proof of loss: the reminders at 30 and at 60 days; the suit's term is not recorded: notify now.
    expect(first).toBe(3);
    for (let day = 0; day <= 62; day++) await writeReminders(database(), 1, NOW + day * DAY_MS);
    const subjects = (await reminders()).map((r) => String(r.subject)).filter((s) => s.includes("/notice/"));
    expect(subjects.map((s) => s.split("/").at(-1)).sort()).toEqual(["14", "2", "30", "7", "passed"]);
    const open = (await readCoverage(LOCAL_ACTOR, { book }, NOW)).reminders;
    const key = open[0]?.key ?? "";
    await acknowledgeReminder(LOCAL_ACTOR, { key, by });
    await expect(acknowledgeReminder(LOCAL_ACTOR, { key, by })).rejects.toThrow(/read already/);
    expect((await readCoverage(LOCAL_ACTOR, { book }, NOW)).reminders.some((r) => r.key === key)).toBe(false);
  });

  test("a notice is recorded with its paper, not for a day to come, and ends its deadline and its reminders", async () => {
    const paper = { site_id: siteId, coverage_id: "P-A", kind: "notice", file_name: "notice.png" } as const;
    const { document_id: documentId } = await keepPaper(LOCAL_ACTOR, paper, fileRequest(samplePng()));
    const on = (await view()).today;
    const body = {
      siteId,
      coverageId: "P-A",
      discoveryId,
      kind: "notice",
      sentOn: on,
      sentTo: "Claims desk",
      method: "courier",
      documentId,
    } as const;
    const later = new Date(NOW + 2 * DAY_MS).toISOString().slice(0, 10);
    await expect(recordNotice(LOCAL_ACTOR, { ...body, sentOn: later }, NOW)).rejects.toThrow(/after today/);
    await expect(recordNotice(LOCAL_ACTOR, { ...body, documentId: discoveryId }, NOW)).rejects.toThrow(
      /Attach the paper/,
    );
    await recordNotice(LOCAL_ACTOR, body, NOW);
    expect((await view()).deadlines.find((d) => d.kind === "notice")).toMatchObject({ state: "sent", sentOn: on });
  });

  test("a removed part goes from hand to hand without a gap, and the chain counts as evidence only when whole", async () => {
    const at = new Date(NOW - 7_200_000).toISOString();
    const part = { siteId, tag: "T-1", what: "bonding clip", placeFound: "section A", removedBy: by, removedAt: at };
    await expect(
      enterPart(LOCAL_ACTOR, { ...part, documentId: null, removedAt: new Date(NOW + DAY_MS).toISOString() }, NOW),
    ).rejects.toThrow(/has not come yet/);
    const photo = { site_id: siteId, kind: "part_photo", file_name: "clip.png" } as const;
    const { document_id: documentId } = await keepPaper(LOCAL_ACTOR, photo, fileRequest(samplePng(7)));
    const { item_id: itemId } = await enterPart(LOCAL_ACTOR, { ...part, documentId }, NOW);
    await expect(enterPart(LOCAL_ACTOR, { ...part, documentId }, NOW)).rejects.toThrow(/Tag "T-1" is on another part/);
    const custody = async () => (await view()).completeness.items.find((i) => i.item === "chain_of_custody")?.present;
    expect(await custody()).toBe(false);
    const hand = {
      siteId,
      itemId,
      to: "Store Keeper",
      storedAt: "shelf 4",
      sealed: true,
      signedFrom: by,
      signedTo: "Store Keeper",
      handedAt: new Date(NOW - 3_600_000).toISOString(),
    };
    await expect(enterHandover(LOCAL_ACTOR, { ...hand, from: "Somebody Else" }, NOW)).rejects.toThrow(
      new RegExp(`held by ${by}`),
    );
    await enterHandover(LOCAL_ACTOR, { ...hand, from: by }, NOW);
    await expect(enterHandover(LOCAL_ACTOR, { ...hand, from: by }, NOW)).rejects.toThrow(/held by Store Keeper/);
    expect(await custody()).toBe(true);
    expect((await view()).parts).toMatchObject([{ tag: "T-1", heldBy: "Store Keeper", transfers: [{ sealed: true }] }]);
  });

  test("each missing item has a worth, and together they are worth less than the whole recovery", async () => {
    const { completeness } = await view();
    const worth = completeness.items.filter((i) => !i.present).map((i) => i.worth ?? Number.NaN);
    expect(worth.length).toBeGreaterThan(0);
    expect(worth.every((w) => w >= 0)).toBe(true);
    expect(completeness.accepted).toBeGreaterThan(0.3);
    expect(completeness.accepted).toBeLessThan(0.9);
  });
});
