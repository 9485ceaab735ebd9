import { readdirSync, statSync } from "node:fs";
import path from "node:path";
import { beginning, type CsvRecord } from "../contract/csv-records.ts";
import type { FileSpec } from "../contract/file-spec.ts";
import { CONTRACT_FILES } from "../contract/files.ts";
import { AppError } from "../core/app-error.ts";
import type { Mapping } from "../mapping/mapping.ts";
import { detectFormat, WEATHER_FORMATS, type WeatherFormat } from "../weather/formats/reader.ts";
import type { DropFile } from "./drop-file.ts";
import { isSetAsideHeader, normalHeader, specByHeader, specByName } from "./identify.ts";
import { mappedFile, sampleOf } from "./mapped-file.ts";
import { publishedWeather } from "./published-weather.ts";
import { csvBatches, fileBytes, type SourceFile, sourceFile } from "./read-file.ts";
import { setAsideParts } from "./set-aside-file.ts";

/** Files of a folder by name; hidden ones and folders are not part of a drop. */
function listFolder(folder: string): string[] {
  return readdirSync(folder, { withFileTypes: true })
    .filter((entry) => entry.isFile() && !entry.name.startsWith("."))
    .map((entry) => path.join(folder, entry.name))
    .sort();
}

export interface ReadAs {
  /** Kind of contract file, or published weather format, that single files are read as. */
  format?: string | undefined;
  /** Station of weather files that do not name theirs. */
  station?: string | undefined;
  /** How somebody said that files are read, by their names. */
  mappings?: Readonly<Record<string, Mapping>> | undefined;
  /** How files with certain columns were read before: asked for files that nothing else tells. */
  profileOf?: ((header: readonly string[]) => { name: string; mapping: Mapping } | null) | undefined;
  /** Values for cells that a file of a kind leaves empty. */
  defaultsFor?: ((kind: string) => Readonly<Record<string, string>>) | undefined;
}

interface Forced extends Pick<ReadAs, "mappings" | "profileOf" | "defaultsFor"> {
  spec: FileSpec | null;
  published: WeatherFormat | null;
  station: string | null;
}

function forcedBy({ format, station, ...said }: ReadAs): Forced {
  const spec = CONTRACT_FILES.find((s) => s.kind === format) ?? null;
  const published = WEATHER_FORMATS.find((name) => name === format) ?? null;
  if (format !== undefined && !spec && !published) {
    const known = [...CONTRACT_FILES.map((s) => s.kind), ...WEATHER_FORMATS].join(", ");
    throw new AppError("wrong_use", { message: `--format "${format}" is not known. Use one of ${known}.` });
  }
  return { spec, published, station: station ?? null, ...said };
}

/**
 * The files of a drop in the contract's order, files of unknown kind last. Published weather formats come as weather.
 * @throws AppError `file_unreadable` for a path that is no readable file, `wrong_use` for an unknown format
 */
export async function dropFiles(
  source: { folder: string } | { files: string[] },
  readAs: ReadAs = {},
): Promise<DropFile[]> {
  const paths = "folder" in source ? listFolder(source.folder) : source.files;
  const forced = forcedBy(readAs);
  const files: DropFile[] = [];
  for (const file of paths) files.push(...(await filesIn(file, forced)));
  const order = (f: DropFile) => (f.spec ? CONTRACT_FILES.indexOf(f.spec) : CONTRACT_FILES.length);
  return files
    .map((f, i) => ({ f, i }))
    .sort((a, b) => order(a.f) - order(b.f) || a.i - b.i)
    .map(({ f }) => f);
}

async function filesIn(file: string, forced: Forced): Promise<DropFile[]> {
  if (!statSync(file, { throwIfNoEntry: false })?.isFile())
    throw new AppError("file_unreadable", { message: `There is no file ${file}.` });
  const source = await sourceFile(file);
  const said = forced.mappings?.[path.basename(file)];
  if (said) return readBy(source, said, "what was said of its columns", forced);
  const first = await beginningOf(source);
  const cells = first[0]?.cells ?? [];
  if (cells.length > MOST_COLUMNS) return [tooWide(source, cells)];
  const header = normalHeader(cells);
  if (isSetAsideHeader(header)) {
    return (await setAsideParts(source)).map((part) => ({
      name: part.file,
      source,
      spec: specByName(part.file) ?? specByHeader(part.header),
      header: part.header,
      batches: part.batches,
    }));
  }
  const spec = forced.spec ?? (forced.published ? null : (specByName(file) ?? specByHeader(header)));
  const published = spec ? null : (forced.published ?? detectFormat(first.map((r) => r.cells.join(","))));
  if (published) return [publishedWeather(source, published, forced.station)];
  if (!spec && forced.profileOf) {
    const profile = forced.profileOf((await sampleOf(source)).header);
    if (profile) return readBy(source, profile.mapping, `the profile “${profile.name}”`, forced);
  }
  return [
    {
      name: path.basename(file),
      source,
      spec,
      header,
      batches: (onBytes) => withoutHeader(csvBatches(source, onBytes)),
      bytes: (onBytes) => fileBytes(source, onBytes),
    },
  ];
}

async function readBy(source: SourceFile, mapping: Mapping, by: string, forced: Forced): Promise<DropFile[]> {
  const sample = await sampleOf(source, mapping);
  const defaults = forced.defaultsFor?.(mapping.kind ?? "") ?? {};
  return mappedFile(source, mapping, sample, { by, defaults });
}

const LOOKED_AT = 20;
/** No file of the contract nor of a weather service has as many; each row of a set-aside file would have them all. */
const MOST_COLUMNS = 1000;

/** A file whose first line is no header of anything: its rows are set aside. */
function tooWide(source: SourceFile, cells: readonly string[]): DropFile {
  const header = normalHeader(cells.slice(0, 20).map((name) => beginning(name, 100)));
  const batches = (onBytes: (read: number) => void) => withoutHeader(csvBatches(source, onBytes));
  return { name: path.basename(source.path), source, spec: null, header, batches };
}

async function beginningOf(source: SourceFile): Promise<CsvRecord[]> {
  for await (const batch of csvBatches(source)) return batch.slice(0, LOOKED_AT);
  return [];
}

async function* withoutHeader(batches: AsyncIterable<CsvRecord[]>): AsyncGenerator<CsvRecord[]> {
  let first = true;
  for await (const batch of batches) {
    const rows = first ? batch.slice(1) : batch;
    first = false;
    if (rows.length > 0) yield rows;
  }
}
