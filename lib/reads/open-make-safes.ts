import "server-only";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { makeSafes } from "../store/make-safe.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { openView } from "./make-safe.ts";
import {
  MAKE_SAFE_STATES,
  type OpenMakeSafe,
  type OpenMakeSafes,
  type OpenMakeSafesQuery,
  stateOf,
} from "./make-safe-view.ts";

interface Found {
  site_id: string;
  name: string;
  opened: string;
  /** Of the page; somebody has it or had; neither: asked for by its site. */
  kind: "page" | "taken" | "at";
}

/** An emergency under way and where it stands among them: what nobody has first, then the oldest. */
interface Placed {
  one: OpenMakeSafe;
  kind: Found["kind"];
  place: string;
}

/** A place begins with whether somebody has it. */
const placeOf = ({ makeSafeId, hasIt }: OpenMakeSafe, opened: string) =>
  `${hasIt === null ? 0 : 1}/${opened}/${makeSafeId}`;
const PLACE = /^([01])\/(\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d+Z)\/(.*)$/;

/** Where a page begins; what is no place begins the first one. */
function beginning(after: string): { isTaken: boolean; from: string; id: string } {
  const [, group, from = "", id = ""] = PLACE.exec(after) ?? [];
  if (Number.isNaN(Date.parse(from))) return { isTaken: false, from: "0001-01-01T00:00:00Z", id: "" };
  return { isTaken: group === "1", from, id };
}

/**
 * The emergencies under way: how many in which state, and a page of them; those beyond come by `next`. Only those that somebody
 * ever had in hand are all looked into: of the others, which may be thousands, the page's.
 * @param siteIds sites whose emergencies are given too, in `at`
 */
export async function openMakeSafes(
  tx: Sql,
  { after = "", most }: OpenMakeSafesQuery,
  siteIds: readonly string[] = [],
): Promise<{ page: OpenMakeSafes; at: OpenMakeSafe[] }> {
  const { isTaken, from, id } = beginning(after);
  const untaken = tx`account_id = current_account() AND closed_at IS NULL AND NOT taken`;
  // As a text: the driver makes a time of whole milliseconds, and thousands may be opened in one.
  const beyond = isTaken
    ? tx`false`
    : tx`(opened_at, make_safe_id COLLATE "C") > (${from}::text::timestamptz, ${id} COLLATE "C")`;
  const [waiting] = await tx<{ n: number; beyond: number }[]>`
    SELECT count(*)::int AS n, ${after === "" ? tx`count(*)` : tx`count(*) FILTER (WHERE ${beyond})`}::int AS beyond
    FROM make_safe WHERE ${untaken}`;
  const opened = tx`to_char(m.opened_at AT TIME ZONE 'UTC', 'YYYY-MM-DD"T"HH24:MI:SS.US"Z"') AS opened`;
  const found = await tx<Found[]>`
    SELECT DISTINCT ON (m.site_id) m.site_id, s.name, m.kind, ${opened} FROM (
      (SELECT account_id, site_id, opened_at, 'page' AS kind, 1 AS first FROM make_safe WHERE ${untaken} AND ${beyond}
        ORDER BY opened_at, make_safe_id COLLATE "C" LIMIT ${most})
      UNION ALL SELECT account_id, site_id, opened_at, 'taken', 2 FROM make_safe
        WHERE account_id = current_account() AND closed_at IS NULL AND taken
      UNION ALL SELECT account_id, site_id, opened_at, 'at', 3 FROM make_safe
        WHERE account_id = current_account() AND closed_at IS NULL AND site_id = ANY(${[...siteIds]})
    ) m JOIN site s USING (account_id, site_id) ORDER BY m.site_id, m.first`;
  const of = new Map(found.map((row) => [row.site_id, row]));
  const stored = found.length === 0 ? [] : await makeSafes(tx, { openAt: [...of.keys()] });
  const placed = stored.flatMap((open): Placed[] => {
    const row = of.get(open.siteId);
    if (!row) return [];
    const one = openView(open, row.name);
    return [{ one, kind: row.kind, place: placeOf(one, row.opened) }];
  });
  const at = new Set(siteIds);
  return {
    page: pageOf(placed, waiting ?? { n: 0, beyond: 0 }, { after, most }),
    at: placed.filter(({ one }) => at.has(one.siteId)).map(({ one }) => one),
  };
}

/** @param waiting how many nobody ever had, and of these, how many come on this page or after it */
function pageOf(
  placed: readonly Placed[],
  waiting: { n: number; beyond: number },
  { after = "", most }: OpenMakeSafesQuery,
): OpenMakeSafes {
  const taken = placed.filter(({ kind }) => kind === "taken");
  const comes = taken.filter(({ place }) => place > after);
  const listed = [...placed.filter(({ kind }) => kind === "page"), ...comes];
  const shown = listed.sort((a, b) => (a.place < b.place ? -1 : 1)).slice(0, most);
  const left = waiting.beyond + comes.length - shown.length;
  const inHand = (state: string) => taken.filter(({ one }) => stateOf(one) === state).length;
  return {
    total: waiting.n + taken.length,
    states: MAKE_SAFE_STATES.map((state) => ({ state, n: inHand(state) + (state === "nobody" ? waiting.n : 0) })),
    shown: shown.map(({ one }) => one),
    left,
    next: left > 0 ? (shown.at(-1)?.place ?? null) : null,
  };
}

/** A further page of the emergencies under way. */
export async function readOpenMakeSafes(actor: Actor, query: OpenMakeSafesQuery): Promise<OpenMakeSafes> {
  authorise(actor, "sites.read");
  return readTransaction(actor, async (tx) => (await openMakeSafes(tx, query)).page);
}
