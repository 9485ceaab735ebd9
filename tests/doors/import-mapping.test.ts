import { mkdirSync, writeFileSync } from "node:fs";
import path from "node:path";
import { expect, test, vi } from "vitest";
import { uploadFolder } from "../../lib/jobs/upload-folder.ts";
import { readMapping, readWaitingFiles } from "../../lib/reads/import-mapping.ts";
import { MappingAsk } from "../../lib/reads/import-mapping-view.ts";
import { readImport } from "../../lib/reads/imports.ts";
import { countWholeFile } from "../../lib/reads/whole-file-count.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { correctRows } from "../../lib/writes/correct-rows.ts";
import { cancelImport, createImport, newImportId, runImport } from "../../lib/writes/import-drop.ts";
import { startImport } from "../../lib/writes/start-import.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

vi.mock("../../lib/jobs/wake-worker.ts", () => ({ wakeWorker: async () => {} }));
useTestDatabase();

const ALARMS = `Plant,Device,Alarm Code,Alarm Text,Start Time,End Time,Ack By
S1,I1,GF-01,Ground fault,03/04/2025 6:10 AM,03/04/2025 9:00 AM,ab
S1,I1,TH-7,Fan failure,03/25/2025 1:10 PM,03/25/2025 1:20 PM,ab
S9,I1,GF-01,Ground fault,03/26/2025 1:10 PM,,ab
`;

/** An upload as it lies in the data folder once it arrived, asking. */
async function waiting(files: Record<string, string>): Promise<string> {
  const importId = newImportId();
  mkdirSync(uploadFolder(importId), { recursive: true });
  for (const [name, text] of Object.entries(files)) writeFileSync(path.join(uploadFolder(importId), name), text);
  return createImport(LOCAL_ACTOR, { importId, name: "upload", asking: true });
}
const ask = (importId: string, more: object) =>
  readMapping(LOCAL_ACTOR, importId, MappingAsk.parse({ file: "alarms.csv", ...more }));
const faults = () =>
  readTransaction(LOCAL_ACTOR, async (tx) =>
    (
      await tx`SELECT f.code, f.code_system, to_char(f.started_at AT TIME ZONE 'UTC', 'YYYY-MM-DD HH24:MI') AS started, c.event
      FROM fault f LEFT JOIN code_meaning c ON c.code_system = f.code_system AND c.code = f.code ORDER BY f.started_at`
    ).map((r) => ({ ...r })),
  );

test("a stranger's log is asked about, previewed, imported, remembered, and its set-aside row corrected in place", async () => {
  const base = await createImport(LOCAL_ACTOR, { name: "base" });
  await runImport(LOCAL_ACTOR, base, { folder: dropFolder(BASE_DROP) });
  const importId = await waiting({ "alarms.csv": ALARMS });
  expect(await readWaitingFiles(LOCAL_ACTOR, importId)).toMatchObject([{ file: "alarms.csv", readAs: null }]);

  // Guessed, with what is open; nothing begins before it is said.
  const guessed = await ask(importId, {});
  expect(guessed.questions.map((q) => q.part)).toEqual(["zone", "zone", "vocabulary"]);
  expect(guessed).toMatchObject({ preview: null, leftOut: ["Ack By"], profile: null });
  const start = (mapping: typeof guessed.mapping, remember: string | null) =>
    startImport(LOCAL_ACTOR, importId, { files: { "alarms.csv": { mapping, remember } } });
  await expect(start(guessed.mapping, null)).rejects.toThrow("Whose clock");

  const said = {
    ...guessed.mapping,
    columns: guessed.mapping.columns.map((c) => (c.form ? { ...c, zone: "site" } : c)),
    vocabulary: { system: "alarms", events: { "GF-01": "GROUND_FAULT", "TH-7": "OTHER" } },
  };
  const previewed = await ask(importId, { mapping: said });
  expect(previewed.questions).toEqual([]);
  expect(previewed.preview).toMatchObject({
    looked: 3,
    usable: 2,
    setAside: 1,
    reasons: [{ column: "site_id", line: 4, rows: 1 }],
  });

  await start(said, "Alarm log");
  await expect(start(said, null)).rejects.toThrow("asks for nothing");
  const done = await runImport(LOCAL_ACTOR, importId, { folder: uploadFolder(importId) });
  expect(done.files.map((f) => [f.file, f.accepted, f.set_aside])).toEqual([
    ["codes of alarms.csv", 2, 0],
    ["alarms.csv", 2, 1],
  ]);
  expect(done.files[1]?.notes.join()).toContain("Columns that were not read: Ack By");
  // New York: UTC-5 before 9 March 2025, UTC-4 after it.
  expect(await faults()).toEqual([
    { code: "GF-01", code_system: "alarms", started: "2025-03-04 11:10", event: "ground_fault" },
    { code: "TH-7", code_system: "alarms", started: "2025-03-25 17:10", event: "other" },
  ]);

  // The next file with these columns finds what was said, and one from the command line is read by it.
  const next = await waiting({ "alarms.csv": ALARMS });
  expect(await ask(next, {})).toMatchObject({ profile: { name: "Alarm log" }, questions: [], preview: { usable: 2 } });
  expect(await cancelImport(LOCAL_ACTOR, next)).toBe(true);
  const nightly = await createImport(LOCAL_ACTOR, { name: "nightly" });
  const again = await runImport(LOCAL_ACTOR, nightly, { folder: dropFolder({ "night.csv": ALARMS }) });
  expect(again.files.map((f) => [f.accepted, f.unchanged, f.set_aside])).toEqual([
    [0, 2, 0],
    [0, 2, 1],
  ]);

  // The row that named no known site, corrected and sent in again.
  const [aside] = (await readImport(LOCAL_ACTOR, importId))?.setAsideRows ?? [];
  expect(aside).toMatchObject({ line: 4, column: "site_id", value: "S9", sentIn: null });
  const cells = aside?.header.map((name, i) => (name === "site_id" ? "S1" : (aside.cells[i] ?? ""))) ?? [];
  const rows = [{ position: aside?.position ?? 0, line: 4, cells }];
  const corrected = await correctRows(LOCAL_ACTOR, importId, { rows });
  expect((await readImport(LOCAL_ACTOR, importId))?.setAsideRows[0]?.sentIn).toBe(corrected);
  await expect(correctRows(LOCAL_ACTOR, importId, { rows })).rejects.toThrow("already");
  expect((await runImport(LOCAL_ACTOR, corrected, { folder: uploadFolder(corrected) })).files).toMatchObject([
    { accepted: 1, set_aside: 0 },
  ]);
  expect(await faults()).toHaveLength(3);
});

test("a file that only its name makes one of the contract is asked about; one that is the contract's is not", async () => {
  const importId = await waiting({ "faults.csv": ALARMS, "sites.csv": BASE_DROP["sites.csv"] as string });
  expect((await readWaitingFiles(LOCAL_ACTOR, importId)).map((f) => [f.file, f.readAs])).toEqual([
    ["faults.csv", null],
    ["sites.csv", "sites"],
  ]);
});

test("a file longer than what is looked at is counted whole, with its rows set aside; nothing is stored by it", async () => {
  const rows = Array.from({ length: 9000 }, (_, i) => {
    const day = String((i % 28) + 1).padStart(2, "0");
    return `${i === 8_500 ? "S9" : "S1"},I1,GF-01,Ground fault,01/${day}/2025 6:${String(i % 60).padStart(2, "0")} AM EST,,ab`;
  });
  const importId = await waiting({
    "alarms.csv": `Plant,Device,Alarm Code,Alarm Text,Start Time,End Time,Ack\n${rows.join("\n")}\n`,
  });
  const guessed = await ask(importId, {});
  // A site in New York says whose EST it is: nothing of the clock is left to ask.
  expect(guessed.mapping.columns.find((c) => c.to === "started_at")).toMatchObject({ words: { est: "-05:00" } });
  expect(guessed.zoneNames.started_at).toEqual([
    { name: "EST", meanings: [{ offset: "-05:00", where: "eastern North America" }] },
  ]);
  expect(guessed.questions.map((q) => `${q.about} ${q.part}`)).toEqual([
    "ended_at form",
    "ended_at zone",
    "vocabulary vocabulary",
  ]);
  const mapping = {
    ...guessed.mapping,
    columns: guessed.mapping.columns.filter((c) => c.to !== "ended_at"),
    vocabulary: { system: "alarms", events: { "GF-01": "GROUND_FAULT" } },
  };
  const looked = await ask(importId, { mapping });
  expect(looked).toMatchObject({ whole: false, preview: { setAside: 0 } });
  expect(looked.preview?.looked).toBeLessThan(8_500);

  const before = await faults();
  const told = [];
  for await (const count of await countWholeFile(LOCAL_ACTOR, importId, { file: "alarms.csv", mapping }))
    told.push(count);
  expect(told.length).toBeGreaterThan(1);
  expect(told.at(-1)).toEqual({
    ...{ share: 1, done: true, rows: 9000, setAside: 1 },
    reasons: [{ column: "site_id", reason: expect.stringContaining("no such site"), rows: 1, line: 8502, value: "S9" }],
  });
  expect(await faults()).toEqual(before);
  await expect(
    countWholeFile(LOCAL_ACTOR, importId, { file: "alarms.csv", mapping: { ...mapping, vocabulary: null } }),
  ).rejects.toThrow("cannot be read yet");
});
