import "server-only";
import type { Units } from "../core/units.ts";
import type { Actor } from "../store/actor.ts";
import type { Sql } from "../store/transaction.ts";

/** The units that somebody set for themselves, for a file drawn for them; metric where they set none. */
export async function readerUnits(tx: Sql, actor: Actor): Promise<Units> {
  const [row] = await tx<{ units: Units }[]>`SELECT units FROM person_setting WHERE person_id = ${actor.person}`;
  return row?.units ?? "metric";
}
