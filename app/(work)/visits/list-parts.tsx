import Link from "next/link";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { LISTS } from "@/app/_words/visits.ts";
import { FIXES_PAGE, type OpenFixesView } from "@/lib/reads/fixes-view.ts";
import { VISITS_PAGE, type VisitsView as View, type VisitsQuery } from "@/lib/reads/visits-view.ts";

/** The address of another part of a list; the other lists stay where they are. */
function partOf(query: VisitsQuery, next: Partial<VisitsQuery>, part: string): string {
  const { from, watch, fixes } = { ...query, ...next };
  const asked = new URLSearchParams({
    ...(from > 1 ? { from: String(from) } : {}),
    ...(watch ? { watch } : {}),
    ...(fixes > 1 ? { fixes: String(fixes) } : {}),
  });
  return `/visits${asked.size > 0 ? `?${asked}` : ""}#${part}`;
}

/** How many visits of each urgency are queued, and the way to the first of them: none is out of sight on a later page. */
export function QueueParts({ view, query }: { view: View; query: VisitsQuery }) {
  return (
    <ul className="band-counts plain">
      {view.queued.map(({ urgency, n, from }) => (
        <li key={urgency}>
          <Urgency value={urgency} /> <Link href={partOf(query, { from }, "queue")}>{LISTS.fromRank(n, from)}</Link>
        </li>
      ))}
    </ul>
  );
}

export function QueuePaging({ view, query, total }: { view: View; query: VisitsQuery; total: number }) {
  const [first, last] = [view.visits[0]?.rank ?? query.from, view.visits.at(-1)?.rank ?? query.from];
  if (query.from <= 1 && view.nextRank === null) return null;
  return (
    <nav className="pages" aria-label={LISTS.pagesOfQueue}>
      {query.from > 1 ? (
        <Link className="button" href={partOf(query, { from: Math.max(1, query.from - VISITS_PAGE) }, "queue")}>
          {LISTS.earlier}
        </Link>
      ) : null}
      <span>{LISTS.ranks(first, last, total)}</span>
      {view.nextRank === null ? null : (
        <Link className="button" href={partOf(query, { from: view.nextRank }, "queue")}>
          {LISTS.later}
        </Link>
      )}
    </nav>
  );
}

export function WatchPaging({ view, query }: { view: View; query: VisitsQuery }) {
  if (!query.watch && !view.nextWatch) return null;
  return (
    <nav className="pages" aria-label={LISTS.pagesOfWatch}>
      {query.watch ? (
        <Link className="button" href={partOf(query, { watch: "" }, "on-watch")}>
          {LISTS.fromTheFirst}
        </Link>
      ) : null}
      {view.nextWatch ? (
        <Link className="button" href={partOf(query, { watch: view.nextWatch }, "on-watch")}>
          {LISTS.nextSites}
        </Link>
      ) : null}
    </nav>
  );
}

export function FixesPaging({ view: { total, page }, query }: { view: OpenFixesView; query: VisitsQuery }) {
  const pages = Math.ceil(total / FIXES_PAGE);
  if (pages <= 1) return null;
  return (
    <nav className="pages" aria-label={LISTS.pagesOfRepairs}>
      {page > 1 ? (
        <Link className="button" href={partOf(query, { fixes: page - 1 }, "repairs-under-watch")}>
          {LISTS.earlier}
        </Link>
      ) : null}
      <span>{LISTS.page(page, pages)}</span>
      {page < pages ? (
        <Link className="button" href={partOf(query, { fixes: page + 1 }, "repairs-under-watch")}>
          {LISTS.later}
        </Link>
      ) : null}
    </nav>
  );
}
