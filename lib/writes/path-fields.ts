import "server-only";
import { awg, type CellSchema, number, oneOf, text } from "../contract/cell.ts";
import { AppError } from "../core/app-error.ts";
import { CONDUCTOR_MATERIALS, PATH_PIECE_KINDS, PIECE_BOND_METHODS, YES_NO_UNKNOWN } from "../core/records.ts";
import { specByName } from "../ingest/identify.ts";

/** What of the path can be changed by hand. */
export const PATH_TARGETS = ["site", "inverter", "section", "piece", "bond"] as const;
export type PathTarget = (typeof PATH_TARGETS)[number];

/** Values by column, as text; null: not recorded. */
export type PathFields = Record<string, string | null>;

interface TargetTable {
  table: string;
  /** Column of the id beside the site's; null: the site itself. */
  key: string | null;
  fields: Map<string, CellSchema>;
  /** Columns whose SQL type is no text. */
  numbers: ReadonlySet<string>;
}

/** Columns of a contract file that the path is made of, with the rules that an import has for them. */
function ofFile(file: string, table: string, key: string | null, names: readonly string[]): TargetTable {
  const columns = (specByName(file)?.columns ?? []).filter((column) => names.includes(column.name));
  return {
    ...{ table, key },
    fields: new Map(columns.flatMap(({ name, read }) => (read.kind === "cell" ? [[name, read.schema] as const] : []))),
    numbers: new Set(columns.filter((column) => column.sql !== "text").map((column) => column.name)),
  };
}

const MADE: [string, CellSchema][] = [
  ["method", oneOf(PIECE_BOND_METHODS)],
  ["awg", awg],
  ["material", oneOf(CONDUCTOR_MATERIALS)],
  ["listed", oneOf(YES_NO_UNKNOWN)],
];
const ID = text(200);

export const PATH_TABLES: Record<PathTarget, TargetTable> = {
  site: ofFile("sites.csv", "site", null, [
    ...["electrode", "electrode_length_ft", "separate_array_electrode", "battery"],
    ...["gec_awg", "gec_material", "service_conductor_awg", "nec_edition"],
  ]),
  inverter: ofFile("inverters.csv", "inverter", "inverter_id", [
    ...["egc_awg", "egc_material", "ac_ocpd_a", "dc_grounding"],
  ]),
  section: ofFile("sections.csv", "section", "section_id", [
    ...["bonded_to", "bond_method", "hardware_listed", "egc_awg", "egc_material", "ocpd_a", "combiner_id"],
  ]),
  piece: {
    ...{ table: "path_piece", key: "piece_id", numbers: new Set(["place"]) },
    fields: new Map<string, CellSchema>([
      ["kind", oneOf(PATH_PIECE_KINDS)],
      ["name", text(200)],
      ["section_id", ID],
      ["inverter_id", ID],
      ["stands_in", text(700)],
      ["place", number({ min: 0, max: 1000, whole: true })],
      ["bonded_to", text(300)],
      ...MADE,
    ]),
  },
  bond: {
    ...{ table: "path_bond", key: "bond_id", numbers: new Set<string>() },
    fields: new Map<string, CellSchema>([["from_point", text(300)], ["to_point", text(300)], ...MADE]),
  },
};

/**
 * Values as the records take them.
 * @throws AppError `wrong_use` that names the column, the value and the reason
 */
export function parsedFields(what: PathTarget, given: PathFields): PathFields {
  const out: PathFields = {};
  for (const [name, value] of Object.entries(given)) {
    const schema = PATH_TABLES[what].fields.get(name);
    if (!schema) throw new AppError("wrong_use", { message: `"${name}" of a ${what} cannot be changed here.` });
    const plain = value?.trim() ?? "";
    if (plain === "") {
      out[name] = null;
      continue;
    }
    const read = schema.safeParse(plain);
    if (!read.success)
      throw new AppError("wrong_use", {
        message: `${name.replaceAll("_", " ")} "${plain}": ${read.error.issues[0]?.message ?? "not understood"}. Nothing was changed.`,
      });
    out[name] = PATH_TABLES[what].numbers.has(name) ? String(Number(read.data)) : read.data;
  }
  return out;
}
