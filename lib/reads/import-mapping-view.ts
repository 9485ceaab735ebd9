import "server-only";
import { z } from "zod";
import type { TalliedReason } from "../contract/row-tally.ts";
import { Mapping } from "../mapping/mapping.ts";
import type { Question } from "../mapping/open-questions.ts";

export type { ColumnRule, Mapping } from "../mapping/mapping.ts";
export type { Question } from "../mapping/open-questions.ts";

/** What is asked of a file: how it could be read, or what came of a mapping that somebody is making. */
export const MappingAsk = z.object({
  file: z.string().min(1).max(300),
  /** What it holds; the columns are then guessed anew. */
  kind: z.string().max(40).nullable().default(null),
  /** Cut it anew by this delimiter or header. */
  cut: Mapping.pick({ delimiter: true, headerAt: true, encoding: true }).partial().default({}),
  mapping: Mapping.nullable().default(null),
});
export type MappingAsk = z.infer<typeof MappingAsk>;

/** Count every row of a file under a mapping that leaves nothing open. */
export const WholeCountAsk = z.object({ file: z.string().min(1).max(300), mapping: Mapping });
export type WholeCountAsk = z.infer<typeof WholeCountAsk>;

/** How far the count of a whole file is; one line of the answer each. */
export interface WholeCount {
  /** Share of the file's bytes that were read. */
  share: number;
  rows: number;
  setAside: number;
  reasons: TalliedReason[];
  done: boolean;
}

/** Begin an import that waits for somebody's word. */
export const StartImport = z.object({
  files: z.record(
    z.string().max(300),
    z.object({
      /** null: it stays unread, and its rows are set aside. */
      mapping: Mapping.nullable(),
      /** Name under which files with these columns are read the same way from now on. */
      remember: z.string().trim().max(100).nullable().default(null),
    }),
  ),
});
export type StartImport = z.infer<typeof StartImport>;

/** A column of the contract that a file's column can be read as. */
export interface ContractColumn {
  name: string;
  takes: "time" | "day" | "number" | "words" | "text";
  required: boolean;
  units: { unit: string; label: string }[];
  words: readonly string[] | null;
}

/** What would become of the rows that were looked at. */
export interface MappingPreview {
  looked: number;
  usable: number;
  setAside: number;
  reasons: TalliedReason[];
  header: string[];
  /** First rows as they would be stored, with the line they stand on. */
  rows: { line: number; cells: string[]; setAside: string | null }[];
}

export interface MappingView {
  file: string;
  header: string[];
  /** Some values of each column, in its order. */
  examples: string[][];
  rows: number;
  /** Whether the rows that were looked at are all of the file. */
  whole: boolean;
  mapping: Mapping;
  /** Why it was guessed so; by column of the contract, `kind`, `decimal` or `vocabulary`. */
  because: Record<string, string>;
  questions: Question[];
  kinds: string[];
  columns: ContractColumn[];
  /** Words of a column that have no meaning yet, or had none before somebody said it. */
  words: Record<string, string[]>;
  /** Names of zones in the times of a column, with what each may mean; by column of the contract. */
  zoneNames: Record<string, { name: string; meanings: { offset: string; where: string }[] }[]>;
  codes: { code: string; rows: number; message: string; ground: boolean }[];
  events: readonly string[];
  leftOut: string[];
  /** null while something is open. */
  preview: MappingPreview | null;
  profile: { name: string; madeBy: string; madeAt: string } | null;
}

/** A file of an upload that waits. */
export interface WaitingFile {
  file: string;
  bytes: number;
  /** How it will be read, when that is plain. */
  readAs: string | null;
}
