import { parameter, valuesOf } from "../diagnose/parameters.ts";
import { systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import { audit } from "../store/make-safe.ts";
import { visitsOnSite } from "../store/on-site.ts";
import { addAlert } from "../store/outbox.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { systemTransaction } from "../store/transaction.ts";
import { overduePeople } from "../visit/check-out.ts";

/**
 * Alert the dispatcher to everybody of an account who should have checked out by now: once for each arrival.
 * @param now by the worker's clock
 */
export async function checkOutRound(db: Database, accountId: number, now: number): Promise<void> {
  await systemTransaction(
    systemActor(accountId),
    async (tx) => {
      const visits = await visitsOnSite(tx, now);
      if (visits.length === 0) return;
      const grace = parameter(valuesOf(await currentParameters(tx)), "visit.checkout_grace");
      for (const { visitId, siteId, siteName, people } of visits) {
        for (const { by, state, arrivedAt, leaveBy } of overduePeople(people, grace, now)) {
          const detail = { visitId, siteId, siteName, by, state, arrivedAt, leaveBy };
          const isNew = await addAlert(tx, "checkout_overdue", `${visitId}/${by}/${arrivedAt}`, detail);
          if (isNew) await audit(tx, "visit.overdue", visitId, detail);
        }
      }
    },
    db,
  );
}
