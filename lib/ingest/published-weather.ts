import path from "node:path";
import type { CsvRecord } from "../contract/csv-records.ts";
import { CONTRACT_FILES } from "../contract/files.ts";
import { WEATHER_COLUMNS } from "../weather/formats/hour-fold.ts";
import { openReader, type WeatherFormat } from "../weather/formats/reader.ts";
import type { DropFile } from "./drop-file.ts";
import { csvBatches, type SourceFile } from "./read-file.ts";

const WEATHER = CONTRACT_FILES.find((spec) => spec.kind === "weather") ?? null;

/**
 * A weather file as it is published, as rows of weather.csv: each line of it becomes one row or is set aside with the
 * reason, so that every line is counted.
 */
export function publishedWeather(source: SourceFile, format: WeatherFormat, station: string | null): DropFile {
  let met = new Map<string, number>();
  return {
    name: path.basename(source.path),
    source,
    spec: WEATHER,
    header: [...WEATHER_COLUMNS],
    batches: (onBytes, stations) => {
      const fileName = path.basename(source.path);
      const reader = openReader(format, { stationId: station, fileName, zoneOf: stations.stationZone });
      met = reader.met;
      return rows(csvBatches(source, onBytes), (record) => {
        const line = reader.read(record.cells);
        if (line === null) return null;
        if ("reason" in line) return { line: record.line, cells: [record.cells.join(",")], broken: line.reason };
        const [name = "", ...rest] = line.cells;
        return { line: record.line, cells: [stations.stationId(name), ...rest] };
      });
    },
    notes: () => [
      `Read as ${format}, as it is published.`,
      ...[...met].map(([what, n]) => `${n.toLocaleString("en-US")} ${what}`),
    ],
  };
}

async function* rows(
  batches: AsyncIterable<CsvRecord[]>,
  read: (record: CsvRecord) => CsvRecord | null,
): AsyncGenerator<CsvRecord[]> {
  for await (const batch of batches) {
    const out = batch.flatMap((record) => read(record) ?? []);
    if (out.length > 0) yield out;
  }
}
