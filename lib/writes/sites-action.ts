import "server-only";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { visitIdFor } from "../dispatch/visit-book.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { SitesAction } from "../reads/ranked-sites-query.ts";
import type { SitesActionDone } from "../reads/ranked-sites-view.ts";
import type { Actor } from "../store/actor.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";

interface Site {
  site_id: string;
  urgency: string;
}

/**
 * Queue, hold, release or give many sites to a crew, in one audited write. What does not go for a site is skipped, and said.
 * @throws AppError `wrong_use` for an unknown crew, or a day that is over
 */
export async function actOnSites(actor: Actor, action: SitesAction): Promise<SitesActionDone> {
  authorise(actor, "plan.write");
  const done = await writeTransaction(actor, async (tx) => {
    const sites = await tx<Site[]>`SELECT site_id, urgency FROM standing
      WHERE account_id = current_account() AND site_id = ANY(${action.siteIds}) ORDER BY site_id`;
    const known = new Set(sites.map((s) => s.site_id));
    const skipped = action.siteIds
      .filter((id) => !known.has(id))
      .map((siteId) => ({ siteId, why: "there is no such site" }));
    const { changed, refused } = await apply(tx, actor, action, sites);
    const { action: what, until, reason, crewId } = action;
    const note =
      changed.length > 0
        ? {
            action: `sites.${what}`,
            subject: `${changed.length} sites`,
            detail: { sites: changed, until, reason, crewId },
          }
        : null;
    return { result: { done: changed.length, skipped: [...skipped, ...refused] }, note };
  });
  if (done.done > 0)
    await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return done;
}

interface Applied {
  changed: string[];
  refused: SitesActionDone["skipped"];
}

async function apply(tx: Sql, actor: Actor, action: SitesAction, sites: readonly Site[]): Promise<Applied> {
  if (action.action === "hold") return hold(tx, actor, action, sites);
  if (action.action === "release") {
    const gone = await tx<{ site_id: string }[]>`DELETE FROM site_hold
      WHERE account_id = current_account() AND site_id = ANY(${sites.map((s) => s.site_id)}) RETURNING site_id`;
    return { changed: gone.map((row) => row.site_id), refused: [] };
  }
  return book(tx, action, sites);
}

async function hold(tx: Sql, actor: Actor, { until, reason }: SitesAction, sites: readonly Site[]): Promise<Applied> {
  const [day] = await tx<{ over: boolean }[]>`SELECT ${until}::date < min((now() AT TIME ZONE time_zone)::date) AS over
    FROM site WHERE account_id = current_account() AND site_id = ANY(${sites.map((s) => s.site_id)})`;
  if (day?.over) throw new AppError("wrong_use", { message: `${until} is over. Hold until today or a later day.` });
  const may = sites.filter((s) => s.urgency !== "make_safe").map((s) => s.site_id);
  await tx`INSERT INTO site_hold (account_id, site_id, held_until, reason, held_by)
    SELECT current_account(), id, ${until}::date, ${reason}, ${actor.person} FROM unnest(${may}::text[]) AS id
    ON CONFLICT (account_id, site_id) DO UPDATE SET held_until = EXCLUDED.held_until, reason = EXCLUDED.reason,
      held_by = EXCLUDED.held_by, held_at = clock_timestamp()`;
  const refused = sites
    .filter((s) => s.urgency === "make_safe")
    .map((s) => ({
      siteId: s.site_id,
      why: "make safe: an emergency cannot be held, because people may touch live metal meanwhile",
    }));
  return { changed: may, refused };
}

/** A visit on record for each site: planned, or promised where the model itself would not send anybody. */
async function book(tx: Sql, { action, crewId }: SitesAction, sites: readonly Site[]): Promise<Applied> {
  if (action === "crew") {
    const [crew] = await tx`SELECT 1 FROM crew WHERE account_id = current_account() AND crew_id = ${crewId}`;
    if (!crew) throw new AppError("wrong_use", { message: `There is no crew ${crewId}.` });
  }
  const ids = sites.map((s) => s.site_id);
  // Who asks for the same site meanwhile waits, and then finds the visit on record.
  await tx`SELECT 1 FROM site WHERE account_id = current_account() AND site_id = ANY(${ids}) ORDER BY site_id FOR UPDATE`;
  const open = await tx<{ site_id: string; visit_id: string; status: string }[]>`
    SELECT DISTINCT ON (site_id) site_id, visit_id, status FROM visit
    WHERE account_id = current_account() AND site_id = ANY(${ids}) AND coalesce(status, 'planned') IN ('planned', 'promised')
    ORDER BY site_id, (status = 'promised') DESC NULLS LAST, promised_from NULLS LAST, visit_id`;
  const taken = await tx<{ visit_id: string }[]>`SELECT visit_id FROM visit WHERE account_id = current_account()
    AND visit_id LIKE ANY(${ids.map((id) => `visit-%-${id.replace(/[\\%_]/g, "\\$&")}`)})`;
  const used = new Set(taken.map((row) => row.visit_id));
  const changed: string[] = [];
  const refused: SitesActionDone["skipped"] = [];
  for (const site of sites) {
    const visit = open.find((v) => v.site_id === site.site_id);
    if (visit && action === "queue") {
      refused.push({ siteId: site.site_id, why: `visit ${visit.visit_id} is on record already` });
      continue;
    }
    if (visit)
      await tx`UPDATE visit SET crew_id = ${crewId} WHERE account_id = current_account() AND visit_id = ${visit.visit_id}`;
    else
      await tx`INSERT INTO visit (account_id, visit_id, site_id, crew_id, status)
        VALUES (current_account(), ${visitIdFor(site.site_id, used)}, ${site.site_id}, ${action === "crew" ? crewId : null},
          ${site.urgency === "watch" ? "promised" : "planned"})`;
    changed.push(site.site_id);
  }
  await tx`DELETE FROM site_hold WHERE account_id = current_account() AND site_id = ANY(${changed})`;
  await tx`UPDATE site SET revision = revision + 1 WHERE account_id = current_account() AND site_id = ANY(${changed})`;
  return { changed, refused };
}
