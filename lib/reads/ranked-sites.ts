import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { movesSoFar } from "../store/scoring-state.ts";
import { sharedRead } from "../store/shared-read.ts";
import { stillHeld } from "../store/site-holds.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { fleetCounts, listSurroundings } from "./list-surroundings.ts";
import { openMakeSafes } from "./open-make-safes.ts";
import type { RankedSitesQuery, SitesSetting } from "./ranked-sites-query.ts";
import { NATURAL_ORDER, PAGE_SIZE, type RankedSitesView } from "./ranked-sites-view.ts";
import { sitesSettingOf } from "./sites-setting.ts";
import { rankedRow, StandingRow, standingColumns, standingSource } from "./standing-rows.ts";

const MOST_NAMED = 6;
/** Emergencies told before the list. */
const MOST_TOLD = 4;

/** Sort keys of the list and what they order by; the only text that reaches ORDER BY. */
export const ORDERS = {
  rank: {
    asc: "st.urgency_order, st.rank NULLS LAST, st.bonding_p DESC",
    desc: "st.urgency_order DESC, st.rank DESC NULLS FIRST, st.bonding_p",
  },
  probability: { asc: "st.bonding_p", desc: "st.bonding_p DESC" },
  energized: { asc: "st.energized_p", desc: "st.energized_p DESC" },
  name: { asc: "st.name", desc: "st.name DESC" },
  inspected: { asc: "st.last_inspected NULLS FIRST", desc: "st.last_inspected DESC NULLS LAST" },
  rate_ratio: { asc: "st.rate_ratio NULLS LAST", desc: "st.rate_ratio DESC NULLS LAST" },
} as const;

/** West, south, east and north of a part of the map; null: none, or none that is one. */
function boxOf(text: string): [number, number, number, number] | null {
  const box = text.split(",").map(Number);
  return box.length === 4 && box.every(Number.isFinite) ? (box as [number, number, number, number]) : null;
}

function inBox(tx: Sql, text: string) {
  const box = boxOf(text);
  if (!box) return tx``;
  const [west, south, east, north] = box;
  return tx`AND st.site_id IN (SELECT site_id FROM site WHERE account_id = current_account()
    AND latitude BETWEEN ${south} AND ${north} AND longitude BETWEEN ${west} AND ${east})`;
}

const held = (tx: Sql) => tx`EXISTS (SELECT 1 FROM site_hold h JOIN site s USING (account_id, site_id)
  WHERE h.account_id = current_account() AND h.site_id = st.site_id AND ${stillHeld(tx)})`;

/** Conditions of the list on `standing st`. */
export function filters(tx: Sql, query: RankedSitesQuery) {
  const pattern = `%${query.search.replace(/[\\%_]/g, "\\$&")}%`;
  return tx`st.account_id = current_account()
    ${query.search ? tx`AND st.found_by LIKE (SELECT lower(${pattern}))` : tx``}
    ${query.portfolio ? tx`AND st.portfolio = ${query.portfolio}` : tx``}
    ${query.urgency ? tx`AND st.urgency = ${query.urgency}` : tx``}
    ${query.cause ? tx`AND st.leading_cause = ${query.cause}` : tx``}
    ${query.held === "" ? tx`AND (st.urgency = 'make_safe' OR NOT ${held(tx)})` : query.held === "only" ? tx`AND ${held(tx)}` : tx``}
    ${inBox(tx, query.box)}`;
}

/** Whether the list is the whole fleet or an urgency of it, but for sites on hold: that much is counted anyway. */
const isOfUrgency = ({ search, portfolio, cause, box, held: which }: RankedSitesQuery) =>
  !search && !portfolio && !cause && which !== "only" && boxOf(box) === null;

const sitesOf = (by: RankedSitesView["byUrgency"], urgency: RankedSitesQuery["urgency"]) =>
  urgency ? by[urgency] : by.make_safe + by.urgent + by.planned + by.watch;

/** How many sites the list has, as a scalar; of a list of an urgency, less those of that urgency. */
function matchingOf(tx: Sql, query: RankedSitesQuery) {
  if (!isOfUrgency(query)) return tx`SELECT count(*)::int FROM standing st WHERE ${filters(tx, query)}`;
  return tx`SELECT -count(*)::int FROM standing st WHERE st.account_id = current_account() AND ${held(tx)}
    AND ${query.held === "" ? tx`st.urgency <> 'make_safe'` : tx`false`} ${query.urgency ? tx`AND st.urgency = ${query.urgency}` : tx``}`;
}

/** One page of the ranked list with what stands around it. */
export async function readRankedSites(actor: Actor, query: RankedSitesQuery): Promise<RankedSitesView> {
  authorise(actor, "sites.read");
  return readTransaction(actor, (tx) => rankedSites(tx, actor, query));
}

/** The same with how the asking person keeps the list: what the page is made of, in one transaction. */
export async function readSitesPage(
  actor: Actor,
  query: RankedSitesQuery,
): Promise<{ list: RankedSitesView; setting: SitesSetting }> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => ({
    list: await rankedSites(tx, actor, query),
    setting: await sitesSettingOf(tx, actor),
  }));
}

async function rankedSites(tx: Sql, actor: Actor, query: RankedSitesQuery): Promise<RankedSitesView> {
  const order = ORDERS[query.sort][query.order || NATURAL_ORDER[query.sort]];
  // The page's sites are found by their narrow columns; the strips of those before them are never touched.
  const found = await tx`
    SELECT ${standingColumns(tx)} FROM ${standingSource(tx)}
    WHERE st.account_id = current_account() AND st.site_id IN (
      SELECT st.site_id FROM standing st
      WHERE ${filters(tx, query)} ORDER BY ${tx.unsafe(order)}, st.site_id
      LIMIT ${PAGE_SIZE} OFFSET ${(query.page - 1) * PAGE_SIZE})
    ORDER BY ${tx.unsafe(order)}, st.site_id`;
  const rows = z
    .array(StandingRow)
    .parse([...found])
    .map(rankedRow);
  // Shared only while some wait: that none does must be known at once, for then the page asks less often.
  const fleet = await sharedRead(
    actor,
    "fleet counts",
    () => fleetCounts(tx),
    ({ stale }) => stale > 0,
  );
  const { matching, ...around } = await listSurroundings(tx, matchingOf(tx, query), Date.now());
  const makeSafe = await makeSafeSites(tx);
  const named = [...rows, ...makeSafe].map((site) => site.siteId);
  const emergencies = await openMakeSafes(tx, { most: MOST_TOLD }, named);
  return {
    ...around,
    ...{ fleetSites: fleet.sites, staleSites: Math.max(fleet.stale, around.staleSites), byUrgency: fleet.byUrgency },
    matching: matching + (isOfUrgency(query) ? sitesOf(fleet.byUrgency, query.urgency) : 0),
    moves: await movesSoFar(tx),
    ...{ rows, makeSafe, openMakeSafes: emergencies.page, rowMakeSafes: emergencies.at },
  };
}

async function makeSafeSites(tx: Sql): Promise<RankedSitesView["makeSafe"]> {
  const rows = await tx<{ site_id: string; name: string; reason: string | null }[]>`
    SELECT site_id, name, proposal #>> '{visit,reasons,0}' AS reason FROM standing
    WHERE account_id = current_account() AND urgency_order = 0 ORDER BY rank NULLS LAST, site_id LIMIT ${MOST_NAMED}`;
  return rows.map((row) => ({ siteId: row.site_id, name: row.name, reason: row.reason ?? "" }));
}
