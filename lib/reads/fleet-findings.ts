import "server-only";
import { authorise } from "../core/permissions.ts";
import { fleetFindings } from "../correlate/fleet-findings.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import type { FleetFindingsView } from "./weather-picture-view.ts";

/** p-values of every site that was looked at, and how many findings are expected to be false. */
export async function readFleetFindings(actor: Actor): Promise<FleetFindingsView> {
  authorise(actor, "fleet.read");
  return readTransaction(actor, async (tx) => {
    const rows = await tx<{ p: number; q: number }[]>`
      SELECT p_value AS p, q_value AS q FROM standing
      WHERE account_id = current_account() AND p_value IS NOT NULL AND q_value IS NOT NULL`;
    return fleetFindings(rows);
  });
}
