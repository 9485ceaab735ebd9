import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import {
  cpSync,
  mkdirSync,
  mkdtempSync,
  readdirSync,
  readFileSync,
  renameSync,
  rmSync,
  symlinkSync,
  writeFileSync,
} from "node:fs";
import os from "node:os";
import path from "node:path";
import postgres from "postgres";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { CONTRACT_FILES } from "../../lib/contract/files.ts";
import { installQueue } from "../../lib/jobs/boss.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { readEvidence } from "../../lib/reads/evidence.ts";
import { evidenceDocument } from "../../lib/reads/evidence-document.ts";
import { evidenceFacts } from "../../lib/reads/evidence-facts.ts";
import { readerUnits } from "../../lib/reads/reader-units.ts";
import { readScore } from "../../lib/reads/score.ts";
import { drawReport } from "../../lib/report/draw-report.ts";
import { EvidenceManifest, manifestText } from "../../lib/report/evidence-manifest.ts";
import { printable } from "../../lib/report/printable.ts";
import type { ReportDocument } from "../../lib/report/report-document.ts";
import { verifyEvidence } from "../../lib/report/verify-evidence.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { ChangePathBody, changePath } from "../../lib/writes/change-path.ts";
import { keepPaper } from "../../lib/writes/coverage-paper.ts";
import { enterHandover, enterPart } from "../../lib/writes/custody.ts";
import { sayDetector } from "../../lib/writes/detector-word.ts";
import { enterDiscovery } from "../../lib/writes/discovery.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { makeEvidence } from "../../lib/writes/make-evidence.ts";
import { recordNotice } from "../../lib/writes/notice-sent.ts";
import { setOwnUnits } from "../../lib/writes/own-units.ts";
import { keepVisitPhoto } from "../../lib/writes/visit-photo.ts";
import { makeWorld } from "../../seed/world.ts";
import { truthOf, writeDemoDrop } from "../../seed/write-demo.ts";
import { pdfPages } from "../support/pdf-text.ts";
import { fileRequest, samplePng } from "../support/sample-files.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const WORLD = { seed: "evidence", sites: 12, days: 500, endDay: "2026-10-31" };
const NOW = Date.UTC(2026, 10, 20);
let data = "";
let folder = "";
let siteId = "";
let document: ReportDocument;

const inFolder = (name: string) => readFileSync(path.join(folder, name));
/** A copy of the evidence that a test may spoil. */
function copy(): string {
  const to = mkdtempSync(path.join(data, "copy-"));
  cpSync(folder, to, { recursive: true });
  return to;
}
const check = (at: string) => verifyEvidence(path.join(at, "manifest.json"));

/** Two photos of a visit, one of whose bytes are lost, and everything that belongs to a claim. */
async function writeClaim(): Promise<void> {
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
async function writePath(): Promise<void> {
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

describe("makeEvidence", () => {
  test("the manifest names every file beside it with its size and SHA-256, and what the score was computed from", async () => {
    const manifest = EvidenceManifest.parse(JSON.parse(inFolder("manifest.json").toString()));
    expect([...manifest.parts.map((p) => p.file), "manifest.json"].sort()).toEqual(readdirSync(folder).sort());
    for (const part of manifest.parts) {
      const bytes = inFolder(part.file);
      expect(part, part.file).toMatchObject({
        bytes: bytes.length,
        sha256: createHash("sha256").update(bytes).digest("hex"),
      });
    }
    const [stored] = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`
      SELECT sc.as_of, sc.parameter_version, sc.code_version, sc.input_hash FROM score sc JOIN standing st USING (account_id, site_id, input_hash)
      WHERE site_id = ${siteId}`,
    );
    const { as_of, ...versions } = stored as { as_of: Date } & Record<string, string>;
    expect(manifest).toMatchObject({ ...versions, as_of: as_of.toISOString(), site_id: siteId, schema_version: 1 });
    for (const kind of [
      "sites",
      "inverters",
      "faults",
      "weather",
      "inspections",
      "repairs",
      "visits",
      "coverage",
      "stations",
    ])
      expect(manifest.parts.find((p) => p.file === `${kind}.csv`)?.rows, kind).toBeGreaterThan(0);
  });

  test("score.json is the contract's entry of the site", async () => {
    const { sites } = await readScore(LOCAL_ACTOR, { site: siteId });
    expect(JSON.parse(inFolder("score.json").toString())).toEqual(JSON.parse(JSON.stringify(sites[0])));
  });

  test("its seal is entered in the audit log, and the audit part holds only what bears on the site", async () => {
    const { seal } = JSON.parse(inFolder("manifest.json").toString()) as { seal: string };
    const entries = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`
      SELECT subject, detail FROM audit_entry WHERE action = 'evidence.make'`,
    );
    expect(entries.map((e) => [e.subject, e.detail.seal])).toContainEqual([siteId, seal]);
    const lines = inFolder("audit.jsonl").toString().trim().split("\n");
    expect(lines.map((line) => JSON.parse(line)).map((l) => [l.action, l.subject])).toEqual([
      ["detector.word", siteId],
      ["coverage.paper", siteId],
      ["discovery.enter", siteId],
      ["coverage.paper", siteId],
      ["notice.sent", siteId],
      ["coverage.paper", siteId],
      ["custody.part", siteId],
      ["custody.handover", siteId],
      ["path.change", siteId],
      ["path.change", siteId],
    ]);
  });

  test("photos lie in it as they were sent, a lost one is listed as missing, and papers are the very bytes attached", async () => {
    const rows = inFolder("photos.csv").toString().trim().split("\n");
    expect(rows).toHaveLength(3);
    expect(rows[1]).toMatch(/^,missing,V-E1,/);
    const [file, state] = (rows[2] as string).split(",") as [string, string];
    expect(state).toBe("as_sent");
    expect(inFolder(file).equals(samplePng(10))).toBe(true);
    expect(inFolder("papers.csv").toString().trim().split("\n")).toHaveLength(4);
    const papers = readdirSync(folder).filter((name) => name.startsWith("paper-"));
    expect(papers).toHaveLength(3);
    expect(papers.some((name) => inFolder(name).equals(samplePng("contract".length)))).toBe(true);
    expect(inFolder("notices.csv").toString()).toContain("paper-002-");
    expect(inFolder("custody-handovers.csv").toString()).toContain("T-1,2026-11-19T");
    expect(inFolder("instruments.csv").toString()).toContain("MX-7,2026-01-15");
    expect(document.sections.find((s) => s.heading === "Discovery")?.table?.rows).toHaveLength(1);
  });

  test("pieces and bonds recorded by hand and isolations are lists of their own, named in the manifest and said in the summary", async () => {
    const { parts } = EvidenceManifest.parse(JSON.parse(inFolder("manifest.json").toString()));
    const rows = (file: string) => parts.find((p) => p.file === file)?.rows;
    expect([rows("path-pieces.csv"), rows("path-bonds.csv"), rows("isolations.csv")]).toEqual([1, 1, 2]);
    const lines = (file: string) => inFolder(file).toString().trim().split("\n");
    // Guarded against spreadsheets, as every cell that leaves the house.
    expect(lines("path-pieces.csv")[1]).toBe(`D1,ac_disconnect,"'=Disconnect, roof",,,,0,ground_bus,,,,`);
    expect(lines("path-bonds.csv")[1]).toMatch(/^B1,piece:D1,section:[^,]+,lug_and_jumper,6,,no$/);
    expect(lines("isolations.csv").slice(1)).toEqual([
      "2026-09-01T08:00:00.000Z,2026-09-03T09:30:00.000Z",
      "2026-10-30T07:15:00.000Z,",
    ]);
    const section = (heading: string) => document.sections.find((s) => s.heading === heading);
    expect(section("Grounding path recorded by hand")?.paragraphs.join(" ")).toMatch(
      /It is what somebody recorded, not a measurement.*1 pieces \(path-pieces.csv\) and 1 bonds \(path-bonds.csv\)/,
    );
    expect(section("Isolations")?.paragraphs.join(" ")).toContain("Isolated is not dead");
    expect(section("Isolations")?.table?.rows.map((row) => row.at(-1))).toEqual([
      expect.stringContaining("2026-09-03T"),
      "still isolated",
    ]);
    const spoiled = copy();
    writeFileSync(path.join(spoiled, "isolations.csv"), "isolated_from,isolated_to\n");
    expect((await check(spoiled)).intact).toBe(false);
  });

  test("a folder that holds something is refused and left as it is, and an unknown site leaves no folder", async () => {
    const taken = copy();
    await expect(makeEvidence(LOCAL_ACTOR, siteId, { out: taken, madeAt: NOW })).rejects.toThrow(/not an empty folder/);
    expect((await check(taken)).intact).toBe(true);
    const out = path.join(data, "nowhere");
    await expect(makeEvidence(LOCAL_ACTOR, "NOPE", { out, madeAt: NOW })).rejects.toThrow(/no site "NOPE"/);
    expect(readdirSync(data).filter((name) => name.startsWith("nowhere"))).toEqual([]);
  });

  test("the lists are read back into an empty account without a row set aside, and give the same lists again", async () => {
    const owner = postgres(database().address.ownerUrl, { max: 1, onnotice: () => {} });
    await owner.begin(async (tx) => {
      await tx`SELECT set_config('raintrip.account', '2', true), set_config('raintrip.role', 'system', true)`;
      await tx`INSERT INTO account (account_id, name) VALUES (2, 'Receiver')`;
      await tx`INSERT INTO data_horizon (account_id) VALUES (2)`;
    });
    await owner.end();
    const receiver = { accountId: 2, person: "receiver", role: "administrator" };
    const lists = readdirSync(folder).filter((name) => CONTRACT_FILES.some((spec) => name === `${spec.kind}.csv`));
    const { files } = await importPaths(
      receiver,
      lists.map((name) => path.join(folder, name)),
    );
    const { parts } = JSON.parse(inFolder("manifest.json").toString()) as EvidenceManifest;
    for (const file of files) {
      const rows = parts.find((p) => p.file === file.file)?.rows as number;
      expect(file, file.file).toMatchObject({ rows, accepted: rows, unchanged: 0, set_aside: 0 });
    }
    expect(files).toHaveLength(lists.length);
    await refreshScores(receiver, { now: NOW });
    const again = path.join(data, "again");
    await makeEvidence(receiver, siteId, { out: again, madeAt: NOW });
    for (const name of lists) {
      const theirs = readFileSync(path.join(again, name), "utf8");
      if (name !== "weather.csv") expect(theirs, name).toBe(inFolder(name).toString());
      else {
        // The log window follows the logs of the whole book, of which the receiver has one site: hours may be fewer.
        const ours = new Set(inFolder(name).toString().split("\n"));
        const lines = theirs.trim().split("\n");
        expect(lines.length).toBeGreaterThan(1000);
        expect(lines.filter((line) => !ours.has(line))).toEqual([]);
      }
    }
  });
});

describe("evidence.pdf", () => {
  const solid = (text: string) => text.replace(/\s+/g, "");

  test("holds every word of the view model, in its order, as another reader finds it", async () => {
    const pages = await pdfPages(inFolder("evidence.pdf"));
    const text = solid(pages.map((p) => p.body).join(""));
    const letters = (words: string) => solid(printable(words, (code) => code < 0x7f));
    const drawn = letters(text);
    let from = 0;
    const next = (words: string) => {
      const at = drawn.indexOf(letters(words), from);
      expect(at, words).toBeGreaterThanOrEqual(from);
      from = at;
    };
    next(document.title);
    next(document.subtitle);
    for (const [label, value] of document.facts) next(label + value);
    for (const section of document.sections) {
      next(section.heading);
      for (const paragraph of section.paragraphs) next(paragraph);
      for (const row of section.table?.rows ?? []) for (const cell of row) next(cell);
      for (const paragraph of section.after ?? []) next(paragraph);
    }
    for (const page of pages) expect(page.foot).toContain(document.footer);
  });

  test("gives the score's own numbers with interval and decibans, its gaps, the zone and the clocks", async () => {
    const { sites } = await readScore(LOCAL_ACTOR, { site: siteId });
    const [score] = sites;
    if (!score) throw new Error("the site has no score");
    const text = (await pdfPages(inFolder("evidence.pdf")))
      .map((p) => p.body)
      .join(" ")
      .replace(/\s+/g, " ");
    const percent = (p: number) => (p >= 0.995 ? "over 99 %" : p < 0.005 ? "under 1 %" : `${Math.round(p * 100)} %`);
    const { p, low, high } = score.bonding_defect;
    expect(text).toContain(`present: ${percent(p)} (${percent(low)} to ${percent(high)})`);
    for (const e of score.evidence) expect(text).toContain(`${e.decibans.toFixed(1)} ${e.source}`);
    for (const g of score.gaps) expect(solid(text), g.what).toContain(solid(printable(g.says, (code) => code < 0x7f)));
    expect(text).toMatch(/local to the site \([A-Z]\w+\/\w+\) with their offset from UTC; times in the lists are UTC/);
    expect(text).toMatch(/Log (site|log)\/\S+: used as logged/);
    expect(text).toContain("MX-7, 2026-01-15");
    expect(text).toContain("[U+");
  });

  test("states an accepted correction of a clock with who accepted it and why, and an open proposal as open", async () => {
    const facts = await readTransaction(LOCAL_ACTOR, (tx) => evidenceFacts(tx, siteId, NOW));
    if (!facts) throw new Error("the site has no score");
    const correction = { offsetHours: 5, summerHours: 1, acceptedBy: "local", acceptedAt: NOW, reason: "set to UTC" };
    const clocks = [
      { source: "log/G", correction, proposal: null, tested: true },
      { source: "log/H", correction: null, proposal: { offsetHours: -1, summerHours: 0 }, tested: true },
    ];
    const pages = await pdfPages(await drawReport(evidenceDocument({ ...facts, clocks }, NOW)));
    const text = pages
      .map((p) => p.body)
      .join(" ")
      .replace(/\s+/g, " ");
    expect(text).toContain(
      "Log log/G: its clock ran ahead by 5 h and 1 h more in summer time, accepted by local on 2026-11-19 (set to UTC).",
    );
    expect(text).toContain("Log log/H: used as logged. A correction by -1 h is proposed and not accepted.");
  });

  test("who reads in US units has theirs beside each figure of the record, which stays as score.json has it", async () => {
    await setOwnUnits(LOCAL_ACTOR, { units: "us" });
    const { document, detail } = await readTransaction(LOCAL_ACTOR, async (tx) => {
      const facts = await evidenceFacts(tx, siteId, NOW);
      if (!facts) throw new Error("the site has no score");
      const detail = { ...facts.detail, station: { ...facts.detail.station, says: "Its station is 12 km away." } };
      return { detail, document: evidenceDocument({ ...facts, detail }, NOW, await readerUnits(tx, LOCAL_ACTOR)) };
    });
    await setOwnUnits(LOCAL_ACTOR, { units: "metric" });
    expect(detail.station.says).toBe("Its station is 12 km away.");
    const text = (await pdfPages(await drawReport(document)))
      .map((p) => p.body)
      .join(" ")
      .replace(/\s+/g, " ");
    expect(text).toContain("Its station is 12 km (7 mi) away.");
  });

  test("calls nothing safe", async () => {
    const text = (await pdfPages(inFolder("evidence.pdf"))).map((p) => `${p.body} ${p.foot}`).join(" ");
    expect(text.length).toBeGreaterThan(3000);
    expect(text).not.toMatch(/\b(safe|safely|harmless|no danger|no risk)\b/i);
    expect(text).toContain("Treat all metal as live");
    expect(text).toContain("a gap is not a pass");
  });
});

describe("verifyEvidence", () => {
  test("finds an untouched file intact", async () => {
    expect(await check(folder)).toMatchObject({ intact: true, problems: [] });
  });

  test("one altered byte is caught at the very file, whichever file and wherever in it", async () => {
    for (const name of readdirSync(folder)) {
      const size = inFolder(name).length;
      for (const at of new Set([0, Math.floor(size / 2), size - 1])) {
        const spoiled = copy();
        const bytes = readFileSync(path.join(spoiled, name));
        bytes[at] = (bytes[at] as number) ^ 1;
        writeFileSync(path.join(spoiled, name), bytes);
        const { intact, problems } = await check(spoiled);
        expect(intact, `${name} at ${at}`).toBe(false);
        expect(
          problems.map((p) => [p.file, p.what]),
          `${name} at ${at}`,
        ).toEqual([[name, "changed"]]);
        rmSync(spoiled, { recursive: true });
      }
    }
  });

  test("every single byte of the manifest counts, blanks included", async () => {
    const spoiled = copy();
    const file = path.join(spoiled, "manifest.json");
    const bytes = readFileSync(file);
    for (let at = 0; at < bytes.length; at += 7) {
      const one = Buffer.from(bytes);
      one[at] = (one[at] as number) ^ 1;
      writeFileSync(file, one);
      const { problems } = await check(spoiled);
      expect(problems[0], `at ${at}`).toMatchObject({ file: "manifest.json", what: "changed" });
      // A byte in the name of a part makes another name of it, which is then missing, and the part one too many.
      for (const { what } of problems.slice(1)) expect(what, `at ${at}`).toMatch(/missing|additional/);
    }
    for (const text of [`${bytes} `, bytes.toString().replace('  "site_id"', ' "site_id"')]) {
      writeFileSync(file, text);
      expect((await check(spoiled)).problems).toMatchObject([{ file: "manifest.json" }]);
    }
  });

  test("where manifest and part were both changed, both are named", async () => {
    const spoiled = copy();
    const manifest = inFolder("manifest.json").toString();
    writeFileSync(path.join(spoiled, "manifest.json"), manifest.replace(/"sha256": "./, '"sha256": "e'));
    writeFileSync(path.join(spoiled, "score.json"), "{}");
    expect((await check(spoiled)).problems.map((p) => p.file)).toEqual(
      expect.arrayContaining(["manifest.json", "score.json"]),
    );
  });

  test("a missing, an added, a cut-off and a swapped part are each named", async () => {
    const spoiled = copy();
    rmSync(path.join(spoiled, "repairs.csv"));
    writeFileSync(path.join(spoiled, ".late.csv"), "x\n");
    writeFileSync(path.join(spoiled, "faults.csv"), readFileSync(path.join(spoiled, "faults.csv")).subarray(0, -1));
    renameSync(path.join(spoiled, "visits.csv"), path.join(spoiled, "v"));
    renameSync(path.join(spoiled, "coverage.csv"), path.join(spoiled, "visits.csv"));
    renameSync(path.join(spoiled, "v"), path.join(spoiled, "coverage.csv"));
    rmSync(path.join(spoiled, "score.json"));
    symlinkSync(path.join(folder, "score.json"), path.join(spoiled, "score.json"));
    const { problems } = await check(spoiled);
    expect(Object.fromEntries(problems.map((p) => [p.file, p.what]))).toEqual({
      "repairs.csv": "missing",
      ".late.csv": "additional",
      "faults.csv": "changed",
      "visits.csv": "changed",
      "coverage.csv": "changed",
      "score.json": "changed",
    });
  });

  test("an audit entry that was rewritten is found even where the manifest was made anew to fit", async () => {
    const spoiled = copy();
    const forged = inFolder("audit.jsonl").toString().replaceAll('"unchanged":true', '"unchanged":false');
    expect(forged).not.toBe(inFolder("audit.jsonl").toString());
    writeFileSync(path.join(spoiled, "audit.jsonl"), forged);
    const { seal: _, ...contents } = EvidenceManifest.parse(JSON.parse(inFolder("manifest.json").toString()));
    const parts = contents.parts.map((p) =>
      p.file === "audit.jsonl"
        ? { ...p, bytes: Buffer.byteLength(forged), sha256: createHash("sha256").update(forged).digest("hex") }
        : p,
    );
    writeFileSync(path.join(spoiled, "manifest.json"), manifestText({ ...contents, parts }));
    const { problems } = await check(spoiled);
    expect(problems).toMatchObject([{ file: "audit.jsonl", what: "changed" }]);
  });

  test("a manifest cannot lead outside its folder", async () => {
    const spoiled = copy();
    const { seal: _, ...contents } = EvidenceManifest.parse(JSON.parse(inFolder("manifest.json").toString()));
    const parts = contents.parts.map((p) => ({
      ...p,
      file: p.file === "score.json" ? "../evidence/score.json" : p.file,
    }));
    writeFileSync(path.join(spoiled, "manifest.json"), manifestText({ ...contents, parts }));
    expect((await check(spoiled)).problems).toMatchObject([{ file: "manifest.json", what: "changed" }]);
  });
});

describe("raintrip verify", () => {
  const verify = (file: string) =>
    spawnSync(
      process.execPath,
      ["--conditions=react-server", "--import", "tsx", "lib/cli/main.ts", "verify", file, "--json"],
      {
        encoding: "utf8",
        // Neither a database nor a folder for one can be had here.
        env: { ...process.env, DATABASE_URL: "postgresql://x:y@127.0.0.1:1/none", RAINTRIP_DATA: "/proc/none" },
      },
    );

  test("needs no database, and says by its exit status whether the file is as it was made", () => {
    const whole = verify(path.join(folder, "manifest.json"));
    expect(whole.status, whole.stderr).toBe(0);
    expect(JSON.parse(whole.stdout)).toMatchObject({ intact: true, problems: [], about: { site_id: siteId } });
    const spoiled = copy();
    writeFileSync(path.join(spoiled, "score.json"), "{}");
    const other = verify(path.join(spoiled, "manifest.json"));
    expect(other.status).toBe(1);
    expect(JSON.parse(other.stdout)).toMatchObject({
      intact: false,
      problems: [{ file: "score.json", what: "changed" }],
    });
    expect(verify(path.join(spoiled, "none.json")).status).toBe(3);
  });
});
