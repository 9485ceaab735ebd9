import { z } from "zod";
import { CONTRACT_FILES } from "../contract/files.ts";
import { TIME_FORMS } from "./written-time.ts";

export const DELIMITERS = [",", ";", "\t", "|"] as const;

/** UTF-8, or the usual code page of spreadsheets of the West, where a file is no UTF-8. */
export const ENCODINGS = ["utf-8", "windows-1252"] as const;

/** How one column of the contract is filled. */
export const ColumnRule = z.object({
  /** Column of the contract. */
  to: z.string().max(60),
  /** Place of the file's column, from 0; null: `fixed` stands in every row. */
  at: z.number().int().min(0).max(999).nullable(),
  fixed: z.string().max(500).default(""),
  /** Unit of the file's values; null where there is none to tell, or while it is not known. */
  unit: z.string().max(20).nullable().default(null),
  /** How times are written; null while it is not known. */
  form: z.enum(TIME_FORMS).nullable().default(null),
  /** `site`, UTC or an IANA zone for times without an offset; null while it is not known. */
  zone: z.string().max(60).nullable().default(null),
  /** Place of the column with the time of day where date and time have one each. */
  clockAt: z.number().int().min(0).max(999).nullable().default(null),
  /** Which end of its hour a time of weather names; null while it is not known. What was said before this was asked meant its end. */
  hour: z.enum(["ends", "starts"]).nullable().default("ends"),
  /** The file's words, in lower case, and the contract's; of times, names of zones with their offset, or `site`. */
  words: z.record(z.string().max(500), z.string().max(200)).default({}),
});
export type ColumnRule = z.infer<typeof ColumnRule>;

/** What fault codes mean: SunSpec's own vocabulary, or the file's own with the event of each code. */
export const Vocabulary = z.object({
  system: z.string().min(1).max(200),
  events: z.record(z.string().max(500), z.string().max(60)).default({}),
});

/** How a file of somebody else's is read as a file of the contract. */
export const Mapping = z.object({
  kind: z.enum(CONTRACT_FILES.map((spec) => spec.kind) as [string, ...string[]]).nullable(),
  delimiter: z.enum(DELIMITERS),
  encoding: z.enum(ENCODINGS).default("utf-8"),
  /** Record that holds the names of the columns, from 0: titles may stand above it. */
  headerAt: z.number().int().min(0).max(50),
  /** null while it is not known. */
  decimal: z.enum(["point", "comma"]).nullable(),
  /** Texts that mean unknown, in lower case. */
  blanks: z.array(z.string().max(40)).max(40),
  columns: z.array(ColumnRule).max(200),
  /** Of faults only; null while it is not known. */
  vocabulary: Vocabulary.nullable().default(null),
});
export type Mapping = z.infer<typeof Mapping>;

/** The beginning of a file, cut into cells. */
export interface TableSample {
  file: string;
  delimiter: Mapping["delimiter"];
  encoding: Mapping["encoding"];
  headerAt: number;
  /** Names of the columns as written. */
  header: string[];
  /** Rows below it. */
  rows: string[][];
}

/** What files with the same columns have in common: their names in order, without regard to case and space. */
export const headerKey = (header: readonly string[]): string =>
  JSON.stringify(header.map((name) => name.trim().toLowerCase().replace(/\s+/g, " ")));
