import "server-only";
import type { Units } from "../core/units.ts";
import type { Actor } from "../store/actor.ts";
import type { Sql } from "../store/transaction.ts";

/** The units that a person set, for a file drawn for them or a page that they shared; metric where they set none. */
export async function unitsOf(tx: Sql, person: string): Promise<Units> {
  const [row] = await tx<{ units: Units }[]>`SELECT units FROM person_setting WHERE person_id = ${person}`;
  return row?.units ?? "metric";
}

/** Those of who reads. */
export const readerUnits = (tx: Sql, actor: Actor): Promise<Units> => unitsOf(tx, actor.person);
