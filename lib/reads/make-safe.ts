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
import {
  MAKE_SAFE_STATES,
  type MakeSafeRun,
  type OpenMakeSafe,
  type OpenMakeSafes,
  type OpenMakeSafesQuery,
  type SiteMakeSafe,
  stateOf,
} from "./make-safe-view.ts";

const iso = (at: number | null) => (at === null ? null : new Date(at).toISOString());

function openView(one: StoredMakeSafe, siteName: string): OpenMakeSafe {
  const { makeSafeId, siteId, reason } = one;
  const { step, next, hasIt, isolatedFrom, isolatedTo } = progressOf(one, Date.now());
  return {
    ...{ makeSafeId, siteId, siteName, reason, hasIt, next },
    step: step ?? "alert",
    openedAt: new Date(one.openedAt).toISOString(),
    isolatedSince: isolatedTo === null ? iso(isolatedFrom) : null,
  };
}

/** Where an emergency stands among those under way: what nobody has first, then the oldest. */
const placeOf = (one: OpenMakeSafe) => `${one.hasIt === null ? 0 : 1}/${one.openedAt}/${one.makeSafeId}`;
const byPlace = (a: OpenMakeSafe, b: OpenMakeSafe) => (placeOf(a) < placeOf(b) ? -1 : 1);

/** The emergencies under way: how many in which state, and a page of them; those beyond come by `next`. */
export async function openMakeSafes(tx: Sql, { after = "", most }: OpenMakeSafesQuery): Promise<OpenMakeSafes> {
  const all = (await makeSafes(tx, "open")).map((one) => openView(one, one.siteId)).sort(byPlace);
  const beyond = all.filter((one) => placeOf(one) > after);
  const shown = await named(tx, beyond.slice(0, most));
  const last = shown.at(-1);
  return {
    total: all.length,
    states: MAKE_SAFE_STATES.map((state) => ({ state, n: all.filter((one) => stateOf(one) === state).length })),
    shown,
    left: beyond.length - shown.length,
    next: last && beyond.length > shown.length ? placeOf(last) : null,
  };
}

/** Those of some sites. */
export async function openMakeSafesAt(tx: Sql, siteIds: readonly string[]): Promise<OpenMakeSafe[]> {
  return named(
    tx,
    (await makeSafes(tx, { openAt: siteIds })).map((one) => openView(one, one.siteId)),
  );
}

async function named(tx: Sql, list: OpenMakeSafe[]): Promise<OpenMakeSafe[]> {
  const names = await siteNames(
    tx,
    list.map((one) => one.siteId),
  );
  return list.map((one) => ({ ...one, siteName: names.get(one.siteId) ?? one.siteId }));
}

/** A further page of the emergencies under way. */
export async function readOpenMakeSafes(actor: Actor, query: OpenMakeSafesQuery): Promise<OpenMakeSafes> {
  authorise(actor, "sites.read");
  return readTransaction(actor, (tx) => openMakeSafes(tx, query));
}

async function siteNames(tx: Sql, siteIds: string[]): Promise<Map<string, string>> {
  const rows = await tx<{ site_id: string; name: string }[]>`
    SELECT site_id, name FROM site WHERE account_id = current_account() AND site_id = ANY(${siteIds})`;
  return new Map(rows.map((row) => [row.site_id, row.name]));
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
