import "server-only";
import { readFile } from "node:fs/promises";
import { z } from "zod";
import { CsvSplitter } from "../contract/csv-records.ts";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { placeKey } from "../dispatch/routes/plan-input.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";
import { dropTravelTimes, saveTravelTimes, type TravelTime } from "../store/travel-times.ts";

const COLUMNS = ["from_kind", "from_id", "to_kind", "to_id", "minutes"] as const;

export interface TravelTimesRead {
  stored: number;
  /** Lines that were not taken, each with what to change. */
  refused: { line: number; why: string }[];
}

/**
 * Take a user's own travel times in place of those from an earlier file. Columns `from_kind,from_id,to_kind,to_id,minutes`
 * and perhaps `km`; a kind is `site` or `crew` (its base). Ways that are not in the file stay the great circle's.
 * @throws AppError `file_unreadable`, or `wrong_use` when a column lacks
 */
export async function importTravelTimes(actor: Actor, file: string): Promise<TravelTimesRead> {
  authorise(actor, "imports.write");
  const text = await readFile(file, "utf8").catch((cause: unknown) => {
    throw new AppError("file_unreadable", { message: `${file} cannot be read.`, cause });
  });
  return takeTravelTimes(actor, text);
}

export const TravelTimesBody = z.object({ text: z.string().min(1, "choose a file, or paste its lines") });

/**
 * The same from a text. One that holds no way at all leaves those of an earlier file as they are.
 * @throws AppError `wrong_use` when a column lacks
 */
export async function takeTravelTimes(actor: Actor, text: string): Promise<TravelTimesRead> {
  authorise(actor, "imports.write");
  const { ways, refused } = readTravelTimes(text);
  return writeTransaction(actor, async (tx) => {
    const known = await tx<{ key: string }[]>`
      SELECT 'site ' || site_id AS key FROM site WHERE account_id = current_account()
      UNION ALL SELECT 'crew ' || crew_id FROM crew WHERE account_id = current_account()`;
    const keys = new Set(known.map((row) => row.key));
    const stray = (way: TravelTime) => [way.from, way.to].find((key) => !keys.has(key));
    const fit = [...ways].filter(([, way]) => !stray(way)).map(([, way]) => way);
    const strangers = [...ways].flatMap(([line, way]) => {
      const key = stray(way);
      return key ? [{ line, why: `There is no ${key}.` }] : [];
    });
    // The last line of a way counts.
    const last = new Map(fit.map((way) => [`${way.from}\n${way.to}`, way]));
    const lines = [...refused, ...strangers].sort((a, b) => a.line - b.line);
    if (last.size === 0) return { result: { stored: 0, refused: lines }, note: null };
    const replaced = await dropTravelTimes(tx);
    await saveTravelTimes(tx, "file", [...last.values()]);
    const result = { stored: last.size, refused: lines };
    const detail = { stored: last.size, replaced, refused: result.refused.length };
    return { result, note: { action: "travel_times.import", subject: "file", detail } };
  });
}

/** Forget a user's own travel times. @returns how many there were */
export async function removeTravelTimes(actor: Actor): Promise<{ removed: number }> {
  authorise(actor, "imports.write");
  return writeTransaction(actor, async (tx) => {
    const removed = await dropTravelTimes(tx);
    const note = { action: "travel_times.remove", subject: "file", detail: { removed } };
    return { result: { removed }, note: removed > 0 ? note : null };
  });
}

/** Ways of a CSV text by line, and the lines that hold none. @throws AppError `wrong_use` when a column lacks */
export function readTravelTimes(text: string): {
  ways: Map<number, TravelTime>;
  refused: TravelTimesRead["refused"];
} {
  const splitter = new CsvSplitter();
  const [head, ...records] = [...splitter.push(text), ...splitter.end()];
  const names = (head?.cells ?? []).map((cell) => cell.trim().toLowerCase());
  const lacking = COLUMNS.filter((column) => !names.includes(column));
  if (lacking.length > 0)
    throw new AppError("wrong_use", {
      message: `The travel times lack the column ${lacking.join(", ")}; the first line names the columns ${COLUMNS.join(",")} and perhaps km.`,
    });
  const ways = new Map<number, TravelTime>();
  const refused: TravelTimesRead["refused"] = [];
  for (const { cells, line, broken } of records) {
    const cell = (name: string) => (cells[names.indexOf(name)] ?? "").trim();
    const place = (kind: string, id: string) =>
      id === "" || (kind !== "site" && kind !== "crew") ? null : placeKey[kind](id);
    const number = (name: string) => (/^\d+(\.\d+)?$/.test(cell(name)) ? Number(cell(name)) : null);
    const from = place(cell("from_kind"), cell("from_id"));
    const to = place(cell("to_kind"), cell("to_id"));
    const minutes = number("minutes");
    const km = number("km");
    if (broken) refused.push({ line, why: broken });
    else if (!from || !to) refused.push({ line, why: "A kind is site or crew, and an id is needed." });
    else if (minutes === null) refused.push({ line, why: `"${cell("minutes")}" is no number of minutes at least 0.` });
    else if (km === null && cell("km") !== "")
      refused.push({ line, why: `"${cell("km")}" is no number of km at least 0.` });
    else if (from !== to) ways.set(line, { from, to, minutes, km, positions: null });
  }
  return { ways, refused };
}
