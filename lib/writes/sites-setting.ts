import "server-only";
import { authorise } from "../core/permissions.ts";
import type { SitesSetting } from "../reads/ranked-sites-query.ts";
import type { Actor } from "../store/actor.ts";
import { systemTransaction } from "../store/transaction.ts";

/** Keep how the asking person wants the list of sites. It changes nobody's data, so the audit log has none of it. */
export async function keepSitesSetting(actor: Actor, setting: SitesSetting): Promise<void> {
  authorise(actor, "fleet.read");
  await systemTransaction(
    actor,
    (tx) => tx`INSERT INTO list_setting (account_id, person_id, name, value)
      VALUES (current_account(), ${actor.person}, 'sites', ${tx.json(setting as never)})
      ON CONFLICT (account_id, person_id, name) DO UPDATE SET value = EXCLUDED.value`,
  );
}
