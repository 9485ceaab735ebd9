import { cpSync, mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import postgres from "postgres";
import { afterAll, beforeAll } from "vitest";
import { installQueue } from "../../../lib/jobs/boss.ts";
import { refreshScores } from "../../../lib/jobs/refresh-scores.ts";
import { readEvidence } from "../../../lib/reads/evidence.ts";
import type { ReportDocument } from "../../../lib/report/report-document.ts";
import { verifyEvidence } from "../../../lib/report/verify-evidence.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { ChangePathBody, changePath } from "../../../lib/writes/change-path.ts";
import { keepPaper } from "../../../lib/writes/coverage-paper.ts";
import { enterHandover, enterPart } from "../../../lib/writes/custody.ts";
import { sayDetector } from "../../../lib/writes/detector-word.ts";
import { enterDiscovery } from "../../../lib/writes/discovery.ts";
import { importPaths } from "../../../lib/writes/import-paths.ts";
import { makeEvidence } from "../../../lib/writes/make-evidence.ts";
import { recordNotice } from "../../../lib/writes/notice-sent.ts";
import { keepVisitPhoto } from "../../../lib/writes/visit-photo.ts";
import { makeWorld } from "../../../seed/world.ts";
import { truthOf, writeDemoDrop } from "../../../seed/write-demo.ts";
import { fileRequest, samplePng } from "../../support/sample-files.ts";
import { useTestDatabase } from "../../support/test-database.ts";

export const database = useTestDatabase();
export const WORLD = { seed: "evidence", sites: 12, days: 500, endDay: "2026-10-31" };
export const NOW = Date.UTC(2026, 10, 20);
export let data = "";
export let folder = "";
export let siteId = "";
export let document: ReportDocument;

export const inFolder = (name: string) => readFileSync(path.join(folder, name));
/** A copy of the evidence that a test may spoil. */
export function copy(): string {
  const to = mkdtempSync(path.join(data, "copy-"));
  cpSync(folder, to, { recursive: true });
  return to;
}
export const check = (at: string) => verifyEvidence(path.join(at, "manifest.json"));

/** Two photos of a visit, one of whose bytes are lost, and everything that belongs to a claim. */
export async function writeClaim(): Promise<void> {
  for (const [i, shade] of [10, 20].entries()) {
    const photo = {
      photo_id: `00000000-0000-4000-8000-00000000000${i}`,
      visit_id: "V-E1",
      site_id: siteId,
      item: JSON.stringify(["section_jumper", "A", ""]),
      taken_at: NOW - i * 1000,
    };
    const { sha256 } = await keepVisitPhoto(LOCAL_ACTOR, photo, fileRequest(samplePng(shade)));
    if (i === 1) rmSync(path.join(data, "visit-photos", sha256));
  }
  const paper = async (kind: "contract" | "notice" | "part_photo") => {
    const query = { site_id: siteId, coverage_id: "C-E1", kind, file_name: `${kind} 屋根.png`, page: 4 };
    return (await keepPaper(LOCAL_ACTOR, query, fileRequest(samplePng(kind.length)))).document_id;
  };
  await paper("contract");
  const by = "Invented Person";
  const found = await enterDiscovery(LOCAL_ACTOR, { siteId, what: "open bond", reason: "measured 4 ohm", by });
  const at = { siteId, coverageId: "C-E1", discoveryId: found.discovery_id, documentId: await paper("notice") };
  const sent = { ...at, kind: "notice", sentOn: "2026-11-19", sentTo: "Warranty desk", method: "courier" } as const;
  await recordNotice(LOCAL_ACTOR, sent, NOW);
  const part = {
    siteId,
    tag: "T-1",
    what: "clip",
    placeFound: "section A",
    removedBy: by,
    removedAt: "2026-11-19T10:00",
  };
  const { item_id: itemId } = await enterPart(LOCAL_ACTOR, { ...part, documentId: await paper("part_photo") }, NOW);
  const hands = { from: by, to: "Other Person", signedFrom: by, signedTo: "Other Person" };
  const to = { siteId, itemId, storedAt: "store room", sealed: true, handedAt: "2026-11-19T12:00" };
  await enterHandover(LOCAL_ACTOR, { ...to, ...hands }, NOW);
}

/** A piece and a bond recorded by hand, and two lock-outs of which one is still open. */
export async function writePath(): Promise<void> {
  const add = (change: object) =>
    changePath(LOCAL_ACTOR, siteId, ChangePathBody.parse({ reason: "seen on site", ...change }));
  const [section] = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ id: string }[]>`SELECT min(section_id) AS id FROM section WHERE site_id = ${siteId}`,
  );
  await add({
    what: "piece",
    id: "D1",
    set: { kind: "ac_disconnect", name: "=Disconnect, roof", bonded_to: "ground_bus" },
  });
  const bond = {
    from_point: "piece:D1",
    to_point: `section:${section?.id}`,
    method: "lug_and_jumper",
    awg: "6",
    listed: "no",
  };
  await add({ what: "bond", id: "B1", set: bond });
  const owner = postgres(database().address.ownerUrl, { max: 1, onnotice: () => {} });
  await owner.begin(async (tx) => {
    await tx`SELECT set_config('raintrip.account', '1', true), set_config('raintrip.role', 'system', true)`;
    for (const [n, events] of [
      [1, ["isolated 2026-09-01T08:00Z", "released 2026-09-03T09:30Z"]],
      [2, ["isolated 2026-10-30T07:15Z"]],
    ] as const) {
      const id = `00000000-0000-4000-8000-0000000000a${n}`;
      await tx`INSERT INTO make_safe (account_id, make_safe_id, site_id, opened_by, reason, closed_at)
        VALUES (1, ${id}, ${siteId}, 'queue', 'a test', ${n === 1 ? new Date("2026-09-04T00:00Z") : null})`;
      for (const [i, event] of events.entries()) {
        const [kind, at] = event.split(" ") as [string, string];
        await tx`INSERT INTO make_safe_event (account_id, make_safe_id, seq, kind, happened_at, done_by, detail)
          VALUES (1, ${id}, ${i + 1}, ${kind}, ${new Date(at)}, 'A. Tester', '{}')`;
      }
    }
  });
  await owner.end();
}

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-evidence-"));
  process.env.RAINTRIP_DATA = data;
  const drop = path.join(data, "drop");
  await writeDemoDrop(drop, WORLD);
  // A repair whose day alone is known, a note over two lines, and letters that no PDF font of ours has.
  const truth = truthOf(makeWorld(WORLD));
  siteId = truth.find((t) => t.causes.length > 0)?.siteId ?? "";
  await importPaths(LOCAL_ACTOR, [drop]);
  const more = path.join(data, "more");
  mkdirSync(more);
  writeFileSync(
    path.join(more, "repairs.csv"),
    `site_id,repaired_at,cause,action,confirmed\n${siteId},2026-03-01,surge_damage,"a ""box""\nchanged, 屋根",yes\n`,
  );
  writeFileSync(
    path.join(more, "visits.csv"),
    `visit_id,site_id,promised_from,promised_to,status\nV-E1,${siteId},2026-11-02T08:00,2026-11-02T10:00,promised\n`,
  );
  writeFileSync(
    path.join(more, "coverage.csv"),
    `coverage_id,site_id,kind,starts_on,ends_on,provider\nC-E1,${siteId},workmanship,2024-01-01,2034-01-01,Dvořák 屋根 roofs\n`,
  );
  writeFileSync(
    path.join(more, "inspections.csv"),
    `site_id,inspected_at,check,outcome,value,unit,instrument_serial,calibrated_on\n${siteId},2026-04-01,bond_resistance,pass,0.05,ohm,MX-7,2026-01-15\n`,
  );
  await importPaths(LOCAL_ACTOR, [more]);
  await installQueue(database().address);
  const [repair] = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ at: Date }[]>`
    SELECT repaired_at AS at FROM repair WHERE site_id = ${siteId} AND cause = 'surge_damage'`,
  );
  const word = { repairedAt: (repair as { at: Date }).at.getTime(), cause: "surge_damage", unchanged: true } as const;
  await sayDetector(LOCAL_ACTOR, siteId, word);
  await writeClaim();
  await writePath();
  await refreshScores(LOCAL_ACTOR, { now: NOW });
  folder = path.join(data, "evidence");
  await makeEvidence(LOCAL_ACTOR, siteId, { out: folder, madeAt: NOW });
  document = await readEvidence(LOCAL_ACTOR, siteId, { madeAt: NOW, use: async (e) => e.document });
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});
