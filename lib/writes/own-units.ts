import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import { UNITS, type Units } from "../core/units.ts";
import type { Actor } from "../store/actor.ts";
import { writeTransaction } from "../store/transaction.ts";

export const UnitsBody = z.object({ units: z.enum(UNITS) });

/** The units in which somebody reads, set by themselves. */
export async function setOwnUnits(actor: Actor, { units }: z.infer<typeof UnitsBody>): Promise<{ units: Units }> {
  authorise(actor, "self.manage");
  return writeTransaction(actor, async (tx) => {
    const changed = await tx`INSERT INTO person_setting (account_id, person_id, units)
      VALUES (${actor.accountId}, ${actor.person}, ${units})
      ON CONFLICT (account_id, person_id) DO UPDATE SET units = excluded.units
      WHERE person_setting.units <> excluded.units`;
    const note = { action: "person.units", subject: actor.person, detail: { units } };
    return { result: { units }, note: changed.count > 0 ? note : null };
  });
}
