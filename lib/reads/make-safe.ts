import "server-only";
import { authorise } from "../core/permissions.ts";
import { inspectionTriggers } from "../dispatch/inspection-triggers.ts";
import type { Actor } from "../store/actor.ts";
import { dutyPeople, makeSafes, progressOf, type StoredMakeSafe } from "../store/make-safe.ts";
import { siteRecords } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { visitEdits } from "../store/visit-log.ts";
import { sayMakeSafeEvent } from "../visit/say-make-safe.ts";
import { sayStop } from "../visit/say-stop.ts";
import { standingStops } from "../visit/stop-rule.ts";
import { voltReadings } from "../visit/visit-records.ts";
import type { MakeSafeRun, OpenMakeSafe, SiteMakeSafe } from "./make-safe-view.ts";

const iso = (at: number | null) => (at === null ? null : new Date(at).toISOString());

/** An open one as lists show it. */
export function openView(one: StoredMakeSafe, siteName: string): OpenMakeSafe {
  const { makeSafeId, siteId, reason } = one;
  const { step, next, hasIt, isolatedFrom, isolatedTo } = progressOf(one, Date.now());
  return {
    ...{ makeSafeId, siteId, siteName, reason, hasIt, next },
    step: step ?? "alert",
    openedAt: new Date(one.openedAt).toISOString(),
    isolatedSince: isolatedTo === null ? iso(isolatedFrom) : null,
  };
}

/** Since when those of some sites are locked out that are, by site, ISO. */
export async function isolatedSince(tx: Sql, siteIds: readonly string[]): Promise<Record<string, string>> {
  const open = (await makeSafes(tx, { openAt: siteIds })).map((one) => openView(one, one.siteId));
  return Object.fromEntries(open.flatMap((one) => (one.isolatedSince ? [[one.siteId, one.isolatedSince]] : [])));
}

function runView(one: StoredMakeSafe, siteName: string): MakeSafeRun {
  return {
    ...openView(one, siteName),
    closedAt: iso(one.closedAt),
    events: one.events.map((event) => ({
      ...{ kind: event.kind, at: new Date(event.at).toISOString(), says: sayMakeSafeEvent(event) },
      by: "by" in event ? event.by : "",
      photo: event.kind === "isolated" ? event.photo : null,
    })),
  };
}

/** The emergencies of one site; null when there is no such site. */
export async function readSiteMakeSafe(actor: Actor, siteId: string): Promise<SiteMakeSafe | null> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => {
    const records = (await siteRecords(tx, [siteId], { logs: false })).get(siteId);
    if (!records) return null;
    const runs = (await makeSafes(tx, { siteId })).map((one) => runView(one, records.site.name));
    const open = runs.find((run) => run.closedAt === null) ?? null;
    const since = open ? Date.parse(open.openedAt) : Number.POSITIVE_INFINITY;
    const { contactName, contactPhone, emergencyPhone } = records.site;
    return {
      open,
      past: runs.filter((run) => run.closedAt !== null),
      stops: standingStops(voltReadings(await visitEdits(tx, { siteId }))).map(sayStop),
      findings: inspectionTriggers(records, Date.now()).map((finding) => finding.reason),
      repairs: records.repairs
        .filter((repair) => !repair.repairedAt.dayOnly && repair.repairedAt.at >= since)
        .map(({ repairedAt, cause, sectionId, inverterId, action }) => ({
          ...{ repairedAt: repairedAt.at, cause, sectionId, inverterId },
          says: `${cause.replaceAll("_", " ")}, ${repairedAt.day}${action ? `: ${action}` : ""}`,
        })),
      sectionIds: records.sections.map((section) => section.sectionId),
      inverterIds: records.inverters.map((inverter) => inverter.inverterId),
      contact: { name: contactName, phone: contactPhone, emergency: emergencyPhone },
      duty: await dutyPeople(tx),
    };
  });
}
