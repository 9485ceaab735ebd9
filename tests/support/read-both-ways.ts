import { CsvSplitter } from "../../lib/contract/csv-records.ts";
import type { FileSpec } from "../../lib/contract/file-spec.ts";
import { CONTRACT_FILES } from "../../lib/contract/files.ts";
import type { KnownRecords } from "../../lib/contract/row-parser.ts";
import { normalHeader } from "../../lib/ingest/identify.ts";
import { plainLogLines } from "../../lib/ingest/plain-log-lines.ts";
import { TakenRows } from "../../lib/ingest/taken-rows.ts";

/** The records of a file's bytes by way of texts, and its first one as a header. */
function textRecords(bytes: Buffer) {
  const splitter = new CsvSplitter();
  const records = [...splitter.push(new TextDecoder().decode(bytes)), ...splitter.end()];
  return { header: normalHeader(records[0]?.cells ?? []), records: records.slice(1) };
}

function said(taken: TakenRows) {
  const { lines, bad } = taken.handOver();
  const { rows, codes, order, reach, parser } = taken;
  return {
    ...{ rows, bad, staged: lines.copy().toString("hex"), unknownCodes: codes.count, isUnique: order?.isUnique },
    ...{ inverters: reach?.inverters, months: reach?.months, times: parser.times },
  };
}

/**
 * Read a log of faults from its bytes and by way of texts: rows staged, rows set aside and all that they say together.
 * @param sizes of the pieces in which the bytes come, taken in turn
 * @returns null where its columns are such that only texts are read; how many rows became texts on the way of the bytes
 */
export function readBothWays(bytes: Buffer, sizes: readonly number[], known: KnownRecords) {
  const spec = CONTRACT_FILES.find((s) => s.kind === "faults") as FileSpec;
  const { header, records } = textRecords(bytes);
  const codeSystemOf = (_site: string, inverter: string) => (inverter === "I2" ? "own" : "sunspec_evt1");
  const met = { unmet: () => [], meet: async () => {}, meetAll: async () => {} };
  const names = { ...met, stationZone: () => null, stationId: (name: string) => name };
  const file = { spec, header, known: { ...known, ...names, codeSystemOf, meanings: new Map() }, defaults: {} };
  const byText = new TakenRows(file, { order: true });
  for (const record of records) byText.take(record);
  const byBytes = new TakenRows(file, { order: true });
  const reader = plainLogLines(file, byBytes);
  if (!reader) return null;
  let asTexts = 0;
  const { parse } = byBytes.parser;
  byBytes.parser.parse = (record) => {
    asTexts++;
    return parse(record);
  };
  for (let at = 0, i = 0; at < bytes.length; i++) {
    const end = at + (sizes[i % sizes.length] ?? bytes.length);
    reader.push(bytes.subarray(at, end));
    at = end;
  }
  reader.end();
  return { byText: said(byText), byBytes: said(byBytes), asTexts };
}
