import type { FileSpec } from "../../lib/contract/file-spec.ts";
import { CONTRACT_FILES } from "../../lib/contract/files.ts";
import { integerBelow, type Rng } from "../../lib/core/random.ts";
import * as r from "../../lib/core/records.ts";
import { chance, csvText, hostileCell, noise, pick } from "./draw.ts";

/** Cells that a column may hold, so that rows also get far: into staging, merge and keys. */
const USABLE: Record<string, readonly string[]> = {
  site_id: ["S1", "S2"],
  inverter_id: ["I1", "I2", ""],
  section_id: ["A", "B", ""],
  bonded_to: ["A", "B", "bus", ""],
  time_zone: ["America/New_York", "UTC", "Asia/Kathmandu"],
  code: ["1", "0x1", "GROUND_FAULT", "0xFFFFFFFF", "17", "x"],
  code_system: ["", "own", "sunspec_evt1"],
  event: ["GROUND_FAULT", "other"],
  state: r.INVERTER_STATES,
  check: r.CHECKS,
  outcome: r.OUTCOMES,
  unit: ["", ...r.READING_UNITS],
  quantity: ["", ...r.QUANTITIES],
  method: ["", ...r.METHODS],
  cause: r.REPAIR_CAUSES,
  kind: r.COVERAGE_KINDS,
  point_a: ["", "section:A", "inverter:I1", "ground_bus"],
  point_b: ["", "section:B", "earth"],
  shift_start: ["07:00"],
  shift_end: ["16:00"],
  access_from: ["08:00", ""],
  access_to: ["17:00", ""],
  egc_awg: ["", "10", "1/0"],
  gec_awg: ["", "6"],
  service_conductor_awg: ["", "250kcmil"],
  currency: ["", "USD"],
  thunder: ["0", "1", ""],
};
const TIMES = [
  "2026-01-01T10:00Z",
  "2026-03-08T02:30",
  "2026-11-01T01:30",
  "2025-12-31T23:00:00-05:00",
  "2024-02-29T12:00:00Z",
  "2026-02-03T04:05:06Z",
  "2026-02-03T04:05:07Z",
];
const DAYS = ["2026-01-05", "2024-02-29", "2027-12-31"];

function usableCell(rng: Rng, spec: FileSpec, name: string): string {
  const given = USABLE[name];
  if (given) return pick(rng, given);
  const column = spec.columns.find((c) => c.name === name);
  if (!column) return noise(rng, 4);
  if (column.read.kind === "moment") return pick(rng, [...TIMES, ...DAYS]);
  if (column.read.kind !== "cell") return column.required ? pick(rng, TIMES) : pick(rng, [...TIMES, ""]);
  if (column.sql === "date") return column.required ? pick(rng, DAYS) : pick(rng, [...DAYS, ""]);
  if (column.sql === "double precision") return String(Math.round(rng() * 4000) / 100);
  if (column.sql === "integer") return String(integerBelow(rng, 30));
  return column.required || chance(rng, 0.5) ? `${name.slice(0, 3)}${integerBelow(rng, 40)}` : "";
}

/** A file of the contract, mostly usable, with hostile cells, columns and rows strewn in. */
export function contractText(
  rng: Rng,
  kind?: string,
  rows = 1 + integerBelow(rng, 12),
): { name: string; text: string } {
  const spec = CONTRACT_FILES.find((s) => s.kind === kind) ?? pick(rng, CONTRACT_FILES);
  const drop = pick(rng, [0, 0.3, 0.7]);
  const header = spec.columns
    .filter((c) => (c.required ? !chance(rng, 0.01) : !chance(rng, drop)))
    .map((c) => c.name)
    .sort(() => rng() - 0.5);
  if (chance(rng, 0.1)) header.push(hostileCell(rng));
  if (chance(rng, 0.03)) header.push(header[0] ?? "");
  const hostility = pick(rng, [0, 0.02, 0.1, 0.5]);
  const lines = [
    csvText(
      rng,
      header.map((name) => (chance(rng, 0.02) ? ` ${name.toUpperCase()} ` : name)),
    ),
  ];
  for (let i = 0; i < rows; i++) {
    const cells = header.map((name) => (chance(rng, hostility) ? hostileCell(rng) : usableCell(rng, spec, name)));
    if (chance(rng, 0.02)) cells.pop();
    if (chance(rng, 0.02)) cells.push(hostileCell(rng));
    lines.push(csvText(rng, cells));
    if (chance(rng, 0.05)) lines.push(lines.at(-1) as string);
  }
  return { name: `${spec.kind}.csv`, text: `${lines.join(pick(rng, ["\n", "\n", "\r\n"]))}${pick(rng, ["\n", ""])}` };
}
