import "server-only";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { SitesSetting } from "./ranked-sites-query.ts";

/** How the asking person keeps the list of sites; what was kept by an older release and fits no more is left out. */
export async function readSitesSetting(actor: Actor): Promise<SitesSetting> {
  authorise(actor, "sites.read");
  return readTransaction(actor, (tx) => sitesSettingOf(tx, actor));
}

/** The same within a transaction of the actor's. */
export async function sitesSettingOf(tx: Sql, actor: Actor): Promise<SitesSetting> {
  const [row] = await tx<{ value: unknown }[]>`SELECT value FROM list_setting
    WHERE account_id = current_account() AND person_id = ${actor.person} AND name = 'sites'`;
  const parsed = SitesSetting.safeParse(row?.value ?? {});
  return parsed.success ? parsed.data : SitesSetting.parse({});
}
