import "server-only";
import { z } from "zod";
import type { IsolationSpan } from "../core/records.ts";
import { localDay } from "../core/zoned-time.ts";
import type { ReportSection, ReportTable } from "../report/report-document.ts";
import type { PartSource } from "../report/write-evidence.ts";
import { isolationSpans } from "../store/make-safe.ts";
import { PathBondRow, PathPieceRow, selectList } from "../store/record-rows.ts";
import type { Sql } from "../store/transaction.ts";
import { listPart } from "./evidence-list.ts";

/** What people recorded of a site beside the files of an import: its way to ground, and when it was locked out. */
export interface HandRecords {
  pieces: z.infer<typeof PathPieceRow>[];
  bonds: z.infer<typeof PathBondRow>[];
  isolations: IsolationSpan[];
}

/** More of each are in the lists beside the summary only. */
const SHOWN = 60;

export async function handRecords(tx: Sql, siteId: string): Promise<HandRecords> {
  const all = async <S extends z.ZodObject>(schema: S, table: string, key: string) => {
    const found = await tx.unsafe(
      `SELECT ${selectList(schema)} FROM ${table} WHERE account_id = current_account() AND site_id = $1 ORDER BY ${key}`,
      [siteId],
    );
    return z.array(schema).parse([...found]);
  };
  return {
    pieces: await all(PathPieceRow, "path_piece", "piece_id"),
    bonds: await all(PathBondRow, "path_bond", "bond_id"),
    isolations: (await isolationSpans(tx, [siteId])).get(siteId) ?? [],
  };
}

const iso = (at: number | null) => (at === null ? "" : new Date(at).toISOString());

export function handParts({ pieces, bonds, isolations }: HandRecords): PartSource[] {
  const made = (row: { method: string | null; awg: string | null; material: string | null; listed: string | null }) =>
    [row.method, row.awg, row.material, row.listed].map((cell) => cell ?? "");
  const MADE = ["method", "awg", "material", "listed"];
  return [
    listPart(
      "path-pieces.csv",
      ["piece_id", "kind", "name", "section_id", "inverter_id", "stands_in", "place", "bonded_to", ...MADE],
      pieces.map((p) => [
        ...[p.pieceId, p.kind, p.name ?? "", p.sectionId ?? "", p.inverterId ?? "", p.standsIn ?? ""],
        ...[String(p.place), p.bondedTo ?? "", ...made(p)],
      ]),
    ),
    listPart(
      "path-bonds.csv",
      ["bond_id", "from_point", "to_point", ...MADE],
      bonds.map((b) => [b.bondId, b.fromPoint, b.toPoint, ...made(b)]),
    ),
    listPart(
      "isolations.csv",
      ["isolated_from", "isolated_to"],
      isolations.map((span) => [iso(span.from), iso(span.to)]),
    ),
  ];
}

const cols = (...heads: [string, number][]): ReportTable["columns"] => heads.map(([head, share]) => ({ head, share }));

/** The same in the summary, with what each list is. */
export function handSections(
  { pieces, bonds, isolations }: HandRecords,
  { timeZone, at }: { timeZone: string; at: (instant: number) => string },
): ReportSection[] {
  const unknown = (cell: string | null) => cell ?? "not recorded";
  const path =
    "What people entered by hand of the way from the frames to the service ground, where no imported file names it: a piece is metal that stands in a link or beside it, a bond joins two points. It is what somebody recorded, not a measurement, and a link counts as verified only by an inspection of that very link.";
  const isolation =
    "From lock on to re-energising authorised, or to the release by a named person; an open end means that it is isolated as this file is made. These hours are left out of the hours at risk. Isolated is not dead: conductors of the array stay live in light.";
  const paths: ReportSection[] =
    pieces.length + bonds.length === 0
      ? [{ heading: "Grounding path recorded by hand", paragraphs: ["None is recorded."] }]
      : [
          {
            heading: "Grounding path recorded by hand",
            paragraphs: [
              `${path} ${pieces.length} pieces (path-pieces.csv) and ${bonds.length} bonds (path-bonds.csv) are recorded.`,
            ],
            table: {
              columns: cols(
                ["What", 3],
                ["From, or stands in", 3],
                ["To, or bonded to", 3],
                ["Made by", 2],
                ["Listed", 1.5],
              ),
              rows: [
                ...pieces.map((p) => [
                  p.name ?? `${p.kind.replaceAll("_", " ")} ${p.pieceId}`,
                  unknown(p.standsIn),
                  unknown(p.bondedTo),
                  unknown(p.method),
                  unknown(p.listed),
                ]),
                ...bonds.map((b) => [`bond ${b.bondId}`, b.fromPoint, b.toPoint, unknown(b.method), unknown(b.listed)]),
              ].slice(0, SHOWN),
            },
          },
        ];
  const isolated: ReportSection =
    isolations.length === 0
      ? { heading: "Isolations", paragraphs: ["None is recorded."] }
      : {
          heading: "Isolations",
          paragraphs: [`${isolation} isolations.csv holds all ${isolations.length}.`],
          table: {
            columns: cols(["Day", 2], ["Isolated from", 4], ["To", 4]),
            rows: isolations
              .slice(-SHOWN)
              .map((s) => [localDay(s.from, timeZone), at(s.from), s.to === null ? "still isolated" : at(s.to)]),
          },
        };
  return [...paths, isolated];
}
