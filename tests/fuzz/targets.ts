import { createHash } from "node:crypto";
import { mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { gunzipSync, gzipSync } from "node:zlib";
import { type CsvRecord, CsvSplitter, csvLine, guarded, unguarded } from "../../lib/contract/csv-records.ts";
import { CONTRACT_FILES } from "../../lib/contract/files.ts";
import { isReject, type KnownRecords, type RowParser, rowParser } from "../../lib/contract/row-parser.ts";
import { AppError } from "../../lib/core/app-error.ts";
import { integerBelow, type Rng, seededRng } from "../../lib/core/random.ts";
import { dropFiles } from "../../lib/ingest/drop.ts";
import { normalHeader } from "../../lib/ingest/identify.ts";
import { verifyEvidence } from "../../lib/report/verify-evidence.ts";
import { frameBytes, MAGIC } from "../../lib/store/backup-frames.ts";
import { checkBackup } from "../../lib/store/restore.ts";
import { WEATHER_COLUMNS } from "../../lib/weather/formats/hour-fold.ts";
import { detectFormat, openReader, WEATHER_FORMATS } from "../../lib/weather/formats/reader.ts";
import { readBothWays } from "../support/read-both-ways.ts";
import { contractText } from "./contract-text.ts";
import { chance, hostileCell, mutated, noise, pick, pieces } from "./draw.ts";
import { FuzzFailure, type FuzzTarget } from "./fuzz-target.ts";
import { servicesAnswer } from "./weather-services.ts";

const WEATHER = path.resolve(import.meta.dirname, "../data/weather");
const real = readdirSync(WEATHER)
  .filter((name) => !name.endsWith(".md"))
  .map((name) => {
    const bytes = readFileSync(path.join(WEATHER, name));
    const lines = (name.endsWith(".gz") ? gunzipSync(bytes) : bytes).toString("utf8").split("\n");
    return { name: name.replace(/\.gz$/, ""), lines };
  });
real.push({
  name: "722190-13874-2019",
  lines: Array.from({ length: 300 }, (_, i) => {
    const at = new Date(Date.UTC(2019, 0, 1, i));
    const two = (n: number) => String(n).padStart(2, "0");
    const number = (n: number) => String(n).padStart(6);
    const values = [44 - (i % 90), -22, 10132, 270, 57, 4, i % 7 ? 0 : -1, -9999];
    return `${at.getUTCFullYear()} ${two(at.getUTCMonth() + 1)} ${two(at.getUTCDate())} ${two(at.getUTCHours())}${values.map(number).join("")}`;
  }),
});

/** A piece of a weather file as published, head and some lines. */
export function weatherExcerpt(rng: Rng, most = 30): { name: string; text: string } {
  const { name, lines } = pick(rng, real);
  const from = 1 + integerBelow(rng, lines.length - 1);
  const head = chance(rng, 0.97) ? [lines[0] as string] : [];
  return { name, text: `${[...head, ...lines.slice(from, from + 1 + integerBelow(rng, most))].join("\n")}\n` };
}

/** As a file arrives: whole or damaged, packed or not, its packing damaged or not. */
export function packed(rng: Rng, { name, text }: { name: string; text: string }, damage = 0.7): [string, Buffer] {
  const bytes = chance(rng, damage) ? mutated(rng, Buffer.from(text)) : Buffer.from(text);
  if (chance(rng, 0.8)) return [name, bytes];
  const zipped = gzipSync(bytes, { level: 1 });
  return [`${name}.gz`, chance(rng, 0.5) ? zipped : mutated(rng, zipped, 2)];
}

function split(parts: readonly string[]): CsvRecord[] {
  const splitter = new CsvSplitter();
  return [...parts.flatMap((part) => splitter.push(part)), ...splitter.end()];
}

const textOf = (bytes: Buffer) => new TextDecoder("utf-8").decode(bytes);
const anyFile = (rng: Rng) => (chance(rng, 0.6) ? contractText(rng) : weatherExcerpt(rng));

async function splitsAlike(rng: Rng): Promise<void> {
  const soup = () =>
    Array.from({ length: integerBelow(rng, 120) }, () => pick(rng, [..."ab,\"\n\r\u0000é🧨\ufeff ='"]));
  const bytes = chance(rng, 0.5) ? Buffer.from(soup().join("")) : mutated(rng, Buffer.from(anyFile(rng).text));
  const text = textOf(bytes);
  const whole = split([text]);
  const files = { "text.csv": bytes };
  if (JSON.stringify(split(pieces(rng, text))) !== JSON.stringify(whole))
    throw new FuzzFailure("other records when the text comes in pieces", files);
  let line = 0;
  for (const record of whole) {
    if (record.line <= line) throw new FuzzFailure(`line ${record.line} after line ${line}`, files);
    if (record.cells.length === 0) throw new FuzzFailure("a record without cells", files);
    line = record.line;
  }
  for (const { cells, broken } of whole) {
    if (broken) continue;
    const out = csvLine(cells.map(guarded));
    const [back] = split([out]);
    const cellsBack = (back?.cells ?? [""]).map(unguarded);
    if (JSON.stringify(cellsBack) !== JSON.stringify(cells) && cells.join("") !== "\ufeff" && !out.startsWith("\ufeff"))
      throw new FuzzFailure("an exported record does not come back as it was", files);
  }
}

const KNOWN: KnownRecords = {
  zoneOf: (site) => (site === "S1" || site === "S2" ? "America/New_York" : undefined),
  hasInverter: (_site, inverter) => inverter === "I1" || inverter === "I2",
  hasSection: (_site, section) => section === "A" || section === "B",
};

/** What PostgreSQL takes for each type; a value beyond it would stop a whole file instead of one row. */
const TAKEN: Record<string, (value: string) => boolean> = {
  text: (v) =>
    !v.includes("\u0000") && !/[\ud800-\udbff](?![\udc00-\udfff])|(?<![\ud800-\udbff])[\udc00-\udfff]/.test(v),
  "double precision": (v) =>
    /^-?\d+(\.\d+)?(e[+-]\d+)?$/.test(v) &&
    Number.isFinite(Number(v)) &&
    !(Number(v) !== 0 && Math.abs(Number(v)) < 1e-307),
  integer: (v) => /^-?\d+$/.test(v) && Math.abs(Number(v)) < 2 ** 31,
  date: (v) => /^\d{4}-\d{2}-\d{2}$/.test(v),
  timestamptz: (v) => /^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}:\d{2}\.\d{3}Z$/.test(v),
  boolean: (v) => v === "t" || v === "f",
};
const LONGEST_INDEX_ENTRY = 2600;

function assertTaken(columns: RowParser["columns"], values: (string | null)[], fail: (says: string) => Error): void {
  let keyBytes = 0;
  for (const [i, column] of columns.entries()) {
    const value = values[i] ?? null;
    if (value === null) continue;
    if (!TAKEN[column.sql]?.(value))
      throw fail(`${column.name} (${column.sql}) got ${JSON.stringify(value.slice(0, 60))}`);
    if (column.key) keyBytes += Buffer.byteLength(value) + 4;
  }
  if (keyBytes > LONGEST_INDEX_ENTRY) throw fail(`a key of ${keyBytes} bytes`);
}

async function rowsParse(rng: Rng): Promise<void> {
  const { name, text } = contractText(rng);
  const bytes = mutated(rng, Buffer.from(text), pick(rng, [0, 0, 3]));
  const [head, ...records] = split([textOf(bytes)]);
  const spec = CONTRACT_FILES.find((s) => name === `${s.kind}.csv`);
  if (!head || !spec) return;
  const parser = rowParser(spec, normalHeader(head.cells), KNOWN);
  for (const record of records) {
    const fail = (says: string) => new FuzzFailure(`${name} line ${record.line}: ${says}`, { [name]: bytes });
    const row = parser.parse(record);
    if (!isReject(row)) assertTaken(parser.columns, row.values, fail);
    else if (row.reason === "" || row.line !== record.line) throw fail("set aside without a reason or a line");
  }
}

/** A log of faults from its bytes as by way of texts. */
async function logsReadAlike(rng: Rng): Promise<void> {
  const { name, text } = contractText(rng, "faults", 1 + integerBelow(rng, 40));
  const bytes = mutated(rng, Buffer.from(text), pick(rng, [0, 0, 3]));
  const sizes = Array.from({ length: 5 }, () => 1 + integerBelow(rng, pick(rng, [1, 9, 90, 4000])));
  const read = readBothWays(bytes, sizes, KNOWN);
  if (read && JSON.stringify(read.byBytes) !== JSON.stringify(read.byText))
    throw new FuzzFailure("is read otherwise from its bytes than by way of texts", { [name]: bytes });
}

const WEATHER_SPEC = CONTRACT_FILES.find((s) => s.kind === "weather");

async function weatherReads(rng: Rng): Promise<void> {
  const { name, text } = weatherExcerpt(rng);
  const bytes = mutated(rng, Buffer.from(text), 5);
  const records = split([textOf(bytes)]);
  const format = chance(rng, 0.1)
    ? pick(rng, WEATHER_FORMATS)
    : detectFormat(records.slice(0, 20).map((r) => r.cells.join(",")));
  if (!format || !WEATHER_SPEC) return;
  const fail = (says: string) => new FuzzFailure(`${format}: ${says}`, { [name]: bytes });
  const reader = openReader(format, {
    stationId: chance(rng, 0.5) ? "X1" : null,
    fileName: name,
    zoneOf: () => (chance(rng, 0.9) ? "America/Chicago" : null),
  });
  const parser = rowParser(WEATHER_SPEC, [...WEATHER_COLUMNS], KNOWN);
  for (const record of records) {
    const line = reader.read(record.cells);
    if (line === null) continue;
    if ("reason" in line) {
      if (line.reason === "") throw fail("no reason");
      continue;
    }
    if (line.cells.length !== WEATHER_COLUMNS.length) throw fail(`${line.cells.length} cells`);
    const row = parser.parse({ line: record.line, cells: line.cells });
    if (!isReject(row)) assertTaken(parser.columns, row.values, fail);
    else if (!["observed_at", "station_id"].includes(row.column))
      throw fail(`${row.column} ${row.value}: ${row.reason}, though the reader lets no impossible value through`);
  }
}

/** Work with files in a folder that is gone afterwards. */
export async function inFolder<T>(files: Record<string, Buffer>, work: (folder: string) => Promise<T>): Promise<T> {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-fuzz-"));
  try {
    mkdirSync(folder, { recursive: true });
    for (const [name, bytes] of Object.entries(files)) writeFileSync(path.join(folder, name), bytes);
    return await work(folder);
  } finally {
    rmSync(folder, { recursive: true, force: true });
  }
}

/** A failure is allowed only as a sentence for a person. */
async function onlyAppErrors(files: Record<string, Buffer>, work: () => Promise<void>): Promise<void> {
  try {
    await work();
  } catch (error) {
    if (error instanceof FuzzFailure) throw error;
    if (!(error instanceof AppError) || error.code === "internal")
      throw new FuzzFailure(`threw ${(error as Error).stack ?? String(error)}`, files);
  }
}

/** Files as a folder drop, read to their ends without a database. */
async function dropsRead(rng: Rng): Promise<void> {
  const files = Object.fromEntries(
    Array.from({ length: 1 + integerBelow(rng, 2) }, () => packed(rng, dropMember(rng))),
  );
  await onlyAppErrors(files, () =>
    inFolder(files, async (folder) => {
      const drop = await dropFiles({ folder }, chance(rng, 0.1) ? { format: pick(rng, WEATHER_FORMATS) } : {});
      for (const file of drop) {
        for await (const batch of file.batches(() => {}, { stationZone: () => "UTC", stationId: (name) => name }))
          for (const record of batch) if (!(record.line >= 1)) throw new FuzzFailure("a row without a line", files);
      }
    }),
  );
}

/** A file of the contract, of a weather service, of rows set aside, or of nothing known. */
export function dropMember(rng: Rng): { name: string; text: string } {
  if (chance(rng, 0.1)) return { name: noise(rng, 5), text: noise(rng, 200, '\n,"ab ') };
  if (chance(rng, 0.15)) return setAsideText(rng);
  return anyFile(rng);
}

function setAsideText(rng: Rng): { name: string; text: string } {
  const lines = Array.from({ length: 1 + integerBelow(rng, 8) }, () => {
    const file = chance(rng, 0.8) ? pick(rng, ["sites.csv", "faults.csv"]) : hostileCell(rng);
    const header = chance(rng, 0.8) ? "site_id;name" : hostileCell(rng);
    return csvLine([file, "7", "name", hostileCell(rng), "why", header, pick(rng, ["S1", "S9"]), hostileCell(rng)]);
  });
  const head =
    "set_aside_file,set_aside_line,set_aside_column,set_aside_value,set_aside_reason,set_aside_header,site_id,name";
  return { name: "set-aside.csv", text: `${head}\n${lines.join("")}` };
}

function smallBackup(): Buffer {
  const json = (value: unknown) => Buffer.from(JSON.stringify(value));
  const rows = Buffer.from("1\tS1\tMillgate\n1\tS2\tOakstead\n");
  const body = Buffer.concat([
    MAGIC,
    frameBytes(
      "H",
      json({ made_at: "2026-11-25T00:00:00.000Z", migrations: [], accounts: [1], fault_months: ["2026-01-01"] }),
    ),
    frameBytes("T", json({ table: "site", columns: ["account_id", "site_id", "name"] })),
    frameBytes("R", rows),
  ]);
  const sha256 = (bytes: Buffer) => createHash("sha256").update(bytes).digest("hex");
  const tables = [{ table: "site", rows: 2, bytes: rows.length, sha256: sha256(rows) }];
  return Buffer.concat([body, frameBytes("M", json({ tables, sha256: sha256(body) }))]);
}

/** A damaged backup or proof is refused in words. */
async function sealsHold(rng: Rng): Promise<void> {
  const whole = smallBackup();
  const bytes = mutated(rng, whole, 3);
  const zipped = chance(rng, 0.8) ? gzipSync(bytes, { level: 1 }) : mutated(rng, gzipSync(bytes, { level: 1 }), 2);
  const manifest = mutated(
    rng,
    Buffer.from('{"format":1,"site_id":"S1","parts":[{"file":"../../etc/passwd","bytes":1,"sha256":"00"}]}'),
    3,
  );
  const files = { "x.backup": zipped, "manifest.json": manifest };
  await inFolder(files, async (folder) => {
    await onlyAppErrors(files, async () => {
      await checkBackup(path.join(folder, "x.backup"));
      if (!bytes.equals(whole)) throw new FuzzFailure("a damaged backup passes", files);
    });
    await onlyAppErrors(files, async () => {
      if ((await verifyEvidence(path.join(folder, "manifest.json"))).intact)
        throw new FuzzFailure("a forged proof passes", files);
    });
  });
}

export const TARGETS: readonly FuzzTarget[] = [
  { name: "splitter", share: 0.2, run: splitsAlike },
  { name: "rows", share: 0.2, run: rowsParse },
  { name: "logs", share: 0.1, run: logsReadAlike },
  { name: "weather", share: 0.32, run: weatherReads },
  { name: "drop", share: 0.08, run: dropsRead },
  { name: "services", share: 0.07, run: servicesAnswer },
  { name: "seals", share: 0.03, run: sealsHold },
];

/**
 * Run cases `from` to `to` of a target; each is made from the seed, the target and its number alone.
 * @param onFailure takes a failure, so that the rest runs on; without it the first is thrown
 */
export async function runCases(
  target: FuzzTarget,
  seed: string,
  [from, to]: readonly [number, number],
  onFailure: (failure: FuzzFailure, id: string) => void = (failure) => {
    throw failure;
  },
): Promise<void> {
  for (let n = from; n < to; n++) {
    const id = `${seed}/${target.name}/${n}`;
    try {
      await target.run(seededRng(id));
    } catch (error) {
      const failure = error instanceof FuzzFailure ? error : new FuzzFailure(`threw ${(error as Error).stack}`, {});
      failure.message = `case ${id}: ${failure.message}`;
      onFailure(failure, id);
    }
  }
}
