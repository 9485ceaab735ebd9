import { createHash } from "node:crypto";
import { readdirSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import postgres from "postgres";
import { describe, expect, test } from "vitest";
import { CONTRACT_FILES } from "../../../lib/contract/files.ts";
import { refreshScores } from "../../../lib/jobs/refresh-scores.ts";
import { readScore } from "../../../lib/reads/score.ts";
import { EvidenceManifest } from "../../../lib/report/evidence-manifest.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { importPaths } from "../../../lib/writes/import-paths.ts";
import { makeEvidence } from "../../../lib/writes/make-evidence.ts";
import { samplePng } from "../../support/sample-files.ts";
import { check, copy, data, database, document, folder, inFolder, NOW, siteId } from "./scene.ts";

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
