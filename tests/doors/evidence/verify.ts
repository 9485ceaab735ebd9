import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { readdirSync, readFileSync, renameSync, rmSync, symlinkSync, writeFileSync } from "node:fs";
import path from "node:path";
import { describe, expect, test } from "vitest";
import { EvidenceManifest, manifestText } from "../../../lib/report/evidence-manifest.ts";
import { check, copy, folder, inFolder, siteId } from "./scene.ts";

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
