import type { CsvRecord } from "../contract/csv-records.ts";
import type { FileSpec } from "../contract/file-spec.ts";
import type { SourceFile } from "./read-file.ts";

/** Stations of the account, as a published file may name them. */
export interface StationNames {
  /** Zone of a station by id or alias; null: no such station, or its zone is not recorded. */
  stationZone: (name: string) => string | null;
  /** Its own id where the name is one of its aliases, else the name. */
  stationId: (name: string) => string;
}

/** One file of a drop, ready to be read; or one that nobody knows what to do with. */
export interface DropFile {
  /** Its name as reported. */
  name: string;
  source: SourceFile;
  /** null: neither name nor header tell what it is. */
  spec: FileSpec | null;
  header: string[];
  batches: (onBytes: (read: number) => void, stations: StationNames) => AsyncIterable<CsvRecord[]>;
  /** Its bytes, unpacked and with the header, where it is one of the contract's own files as it is. */
  bytes?: (onBytes: (read: number) => void) => AsyncIterable<Buffer>;
  /** What reading it met and dealt with, once its batches are taken; absent: nothing to tell. */
  notes?: () => string[];
}
