import { AppError } from "../../lib/core/app-error.ts";
import { integerBelow, type Rng } from "../../lib/core/random.ts";
import { type Actor, LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { readTransaction } from "../../lib/store/transaction.ts";
import { createImport, runImport, setAsideLines } from "../../lib/writes/import-drop.ts";
import { BASE_DROP } from "../support/drop-folder.ts";
import { contractText } from "./contract-text.ts";
import { chance, pick } from "./draw.ts";
import { FuzzFailure } from "./fuzz-target.ts";
import { dropMember, inFolder, packed, weatherExcerpt } from "./targets.ts";

const ACTOR: Actor = LOCAL_ACTOR;
const STATIONS =
  "station_id,latitude,longitude,time_zone,aliases\nX1,40.7,-74.0,America/New_York,72219013874;KATL;72551014939\n";

/** What hostile rows refer to: two sites, three inverters, two sections, a station. */
export async function importBase(): Promise<void> {
  const files = { ...BASE_DROP, "stations.csv": STATIONS };
  await importOnce(Object.fromEntries(Object.entries(files).map(([name, text]) => [name, Buffer.from(text)])));
}

export interface Imported {
  importId: string;
  files: { file: string; rows: number; accepted: number; unchanged: number; set_aside: number }[];
}

/** Import files as a drop and hold every count against what is stored. null: refused in words. */
export async function importOnce(
  files: Record<string, Buffer>,
  options: Record<string, string> = {},
): Promise<Imported | null> {
  const fail = (says: string) => new FuzzFailure(says, files);
  const importId = await createImport(ACTOR, { name: "fuzz", options });
  return inFolder(files, async (folder) => {
    let done: Imported;
    try {
      done = { importId, ...(await runImport(ACTOR, importId, { folder }, {})) };
    } catch (error) {
      if (error instanceof AppError && error.code !== "internal") return null;
      throw fail(`the import threw ${(error as Error).stack}`);
    }
    const stored = await readTransaction(
      ACTOR,
      (tx) => tx<{ file: string; n: number }[]>`
        SELECT f.file, count(s.line)::int AS n FROM import_file f LEFT JOIN set_aside_row s USING (account_id, import_id, position)
        WHERE f.import_id = ${importId} GROUP BY f.position, f.file ORDER BY f.position`,
    );
    for (const [i, f] of done.files.entries()) {
      if (f.accepted + f.unchanged + f.set_aside !== f.rows)
        throw fail(`${f.file}: ${JSON.stringify(f)} does not add up`);
      if (f.accepted < 0 || f.unchanged < 0) throw fail(`${f.file}: ${JSON.stringify(f)} has a negative count`);
      if (stored[i]?.n !== f.set_aside)
        throw fail(`${f.file}: ${f.set_aside} rows said to be set aside, ${stored[i]?.n} kept`);
    }
    return done;
  });
}

/** The set-aside rows as the file that is offered for download. */
export async function setAsideText(importId: string): Promise<string> {
  const lines: string[] = [];
  for await (const line of setAsideLines(ACTOR, importId)) lines.push(line);
  return lines.join("");
}

/** A hostile drop through the real import, then again: the second time must change nothing. */
export async function importCase(rng: Rng): Promise<void> {
  const alone = chance(rng, 0.7);
  const draw = () =>
    chance(rng, 0.7) ? contractText(rng) : chance(rng, 0.6) ? weatherExcerpt(rng, 12) : dropMember(rng);
  const files = Object.fromEntries(
    Array.from({ length: alone ? 1 : 2 + integerBelow(rng, 2) }, () => packed(rng, draw(), 0.4)),
  );
  const options = chance(rng, 0.1) ? { station: pick(rng, ["X1", "Q9"]), portfolio: "Book" } : {};
  const first = await importOnce(files, options);
  if (!first) return;
  // Files of one drop may contradict each other; one file alone may not change anything when it comes again.
  if (first.files.length === 1) {
    const again = await importOnce(files, options);
    const changed = again?.files.filter((f) => f.accepted > 0) ?? [];
    if (changed.length > 0)
      throw new FuzzFailure(`imported again, ${JSON.stringify(changed)} changed something`, files);
  }
  const aside = first.files.reduce((sum, f) => sum + f.set_aside, 0);
  if (aside === 0) return;
  const text = await setAsideText(first.importId);
  const back = await importOnce({ "back.csv": Buffer.from(text) });
  const rows = back?.files.reduce((sum, f) => sum + f.rows, 0) ?? aside;
  if (rows !== aside)
    throw new FuzzFailure(`${aside} rows set aside came back as ${rows}`, { ...files, "back.csv": text });
}
