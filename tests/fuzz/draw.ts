import { integerBelow, type Rng } from "../../lib/core/random.ts";

export const pick = <T>(rng: Rng, from: readonly T[]): T => from[integerBelow(rng, from.length)] as T;
export const chance = (rng: Rng, share: number): boolean => rng() < share;

/** Characters that are not repeated, so that no index can compress them. */
export function noise(rng: Rng, length: number, alphabet = "abcdefghijklmnopqrstuvwxyz0123456789"): string {
  const letters = [...alphabet];
  return Array.from({ length }, () => pick(rng, letters)).join("");
}

/** Cells that have broken importers: numbers that databases refuse, times that do not exist, text that is code elsewhere. */
const HOSTILE = [
  ..."\u0000|\ufffd|\ufeff|\u202e|\t|a\tb|\\N|\\.|\\|a\rb|a\nb|\r\n|'|''|\"|,|;|.|e|-|+".split("|"),
  ...["1e-400", "1e400", "-0", "-0.0", "1e2", "2.0", "5.", ".5", "+7", "NaN", "Infinity", "-1e308", "0x1F", "1_000"],
  ...["1,5", "١٢", "٪", "½", "9007199254740993", "2147483648", "-2147483649", "0.1e1", `0.${"0".repeat(400)}1`],
  ...["2026-02-30", "2024-02-29", "1969-12-31T23:59:59Z", "1970-01-01T00:00+18:00", "2099-12-31T23:59:59-18:00"],
  ...["2026-03-08T02:30", "2026-11-01T01:30", "9999-12-31", "0000-00-00", "2026-01-01T24:00", "2026-06-30T23:59:60Z"],
  ...["2026-01-01T23:59:59.9999999Z", "2026-01-01 10:00+0530", "+012026-01-01T00:00Z", "2026-1-1", "2026-W01-1"],
  ...["=1+1", "@SUM(A1)", "+cmd|' /C calc'!A0", "-2+3", "-74", "'=1", "''=1", "\t=1", "＝1", "'-74", "=HYPERLINK(A1)"],
  ...["'; DROP TABLE site; --", "__proto__", "constructor", "toString", "null", "undefined", "true", "%s%n", "$x"],
  ...[
    "section:A",
    "section:",
    "inverter:I1",
    "ground_bus",
    "bus",
    "none",
    "NONE",
    "250kcmil",
    "999kcmil",
    "4/0",
    "mon;tue;;",
  ],
];

/** One hostile cell, sometimes very long or of many bytes. */
export function hostileCell(rng: Rng): string {
  if (chance(rng, 0.85)) return pick(rng, HOSTILE);
  const length = pick(rng, [50, 150, 199, 200, 201, 500, 501, 3000, 10_001]);
  return noise(rng, length, pick(rng, ["abcdef0123456789", "😀😁🤖🧨𝔘𐍈", "åßçđéƒ漢字"]));
}

/** One record as CSV, sometimes badly quoted. */
export function csvText(rng: Rng, cells: readonly string[]): string {
  const quoted = cells.map((cell) => {
    if (/[",\n\r]/.test(cell)) return chance(rng, 0.05) ? cell : `"${cell.replaceAll('"', '""')}"`;
    return chance(rng, 0.03) ? `"${cell}"` : cell;
  });
  return quoted.join(chance(rng, 0.004) ? ";" : ",");
}

/** Bytes damaged as transfers, editors and attackers do, a few times over. */
export function mutated(rng: Rng, given: Buffer, most = 4): Buffer {
  let bytes = given;
  for (let n = integerBelow(rng, most + 1); n > 0; n--) bytes = pick(rng, MUTATIONS)(rng, bytes);
  return bytes;
}

type Mutation = (rng: Rng, bytes: Buffer) => Buffer;
const splice = (bytes: Buffer, from: number, to: number, put: Buffer) =>
  Buffer.concat([bytes.subarray(0, from), put, bytes.subarray(to)]);
const place: (rng: Rng, bytes: Buffer) => number = (rng, bytes) => integerBelow(rng, bytes.length + 1);
const TOKENS = [
  ...["\u0000", '"', '""', ",", "\n", "\r", "\r\n", "\ufeff", "=", " ", "-", "-9999", "99999", "M", "T", "VCTS", "RMK"],
  ...[
    "\u0000\u0000\u0000\u0000",
    "P0000",
    "P9999",
    "T1",
    "1e999",
    "-0",
    "M99/M99",
    "99999KT",
    "🧨",
    "2014-01-01T00:00Z ",
  ],
].map((token) => Buffer.from(token));
const BROKEN_UTF8 = [[0xff], [0xc3], [0xed, 0xa0, 0x80], [0xf0, 0x9f], [0xfe, 0xff], [0xc0, 0xaf]].map((b) =>
  Buffer.from(b),
);

const MUTATIONS: Mutation[] = [
  (rng, bytes) => {
    const out = Buffer.from(bytes);
    for (let n = 1 + integerBelow(rng, 8); n > 0 && out.length > 0; n--)
      out[integerBelow(rng, out.length)] = integerBelow(rng, 256);
    return out;
  },
  (rng, bytes) => {
    const at = place(rng, bytes);
    return splice(bytes, at, at, pick(rng, TOKENS));
  },
  (rng, bytes) => {
    const at = place(rng, bytes);
    return splice(bytes, at, at, pick(rng, BROKEN_UTF8));
  },
  (rng, bytes) => {
    const at = place(rng, bytes);
    return splice(bytes, at, Math.min(bytes.length, at + integerBelow(rng, 200)), Buffer.alloc(0));
  },
  (rng, bytes) => {
    const at = place(rng, bytes);
    const piece = bytes.subarray(at, at + integerBelow(rng, 400));
    const to = place(rng, bytes);
    return splice(bytes, to, to, piece);
  },
  (rng, bytes) => {
    const at = place(rng, bytes);
    return splice(
      bytes,
      at,
      at,
      Buffer.from(pick(rng, ["=", "s", '"', ",", " ", "9", "\n", "V"]).repeat(integerBelow(rng, 5000))),
    );
  },
  (rng, bytes) => bytes.subarray(0, place(rng, bytes)),
  (rng, bytes) => {
    const lines = bytes.toString("latin1").split("\n");
    const a = integerBelow(rng, lines.length);
    const b = integerBelow(rng, lines.length);
    [lines[a], lines[b]] = [lines[b] as string, lines[a] as string];
    return Buffer.from(lines.join("\n"), "latin1");
  },
  (rng, bytes) => Buffer.from(bytes.toString("latin1").replaceAll("\n", pick(rng, ["\r\n", "\r", "\n\n"])), "latin1"),
  (rng, bytes) => {
    const cells = bytes.toString("latin1").split(",");
    cells[integerBelow(rng, cells.length)] = Buffer.from(hostileCell(rng)).toString("latin1");
    return Buffer.from(cells.join(","), "latin1");
  },
];

/** Text in pieces of any size, as it may arrive. */
export function pieces(rng: Rng, text: string): string[] {
  const out: string[] = [];
  const most = pick(rng, [1, 7, 60, 4000]);
  for (let at = 0; at < text.length; ) {
    const next = at + 1 + integerBelow(rng, most);
    out.push(text.slice(at, next));
    at = next;
  }
  return out;
}
