import Link from "next/link";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { FIXES_PAGE, type OpenFixesView } from "@/lib/reads/fixes-view.ts";
import { VISITS_PAGE, type VisitsView as View, type VisitsQuery } from "@/lib/reads/visits-view.ts";

const count = (n: number) => n.toLocaleString("en-US");

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
          <Urgency value={urgency} />{" "}
          <Link href={partOf(query, { from }, "queue")}>
            {count(n)}, from rank {count(from)}
          </Link>
        </li>
      ))}
    </ul>
  );
}

export function QueuePaging({ view, query, total }: { view: View; query: VisitsQuery; total: number }) {
  const [first, last] = [view.visits[0]?.rank ?? query.from, view.visits.at(-1)?.rank ?? query.from];
  if (query.from <= 1 && view.nextRank === null) return null;
  return (
    <nav className="pages" aria-label="Pages of the queue">
      {query.from > 1 ? (
        <Link className="button" href={partOf(query, { from: Math.max(1, query.from - VISITS_PAGE) }, "queue")}>
          Earlier
        </Link>
      ) : null}
      <span>
        Ranks {count(first)} to {count(last)} of {count(total)}
      </span>
      {view.nextRank === null ? null : (
        <Link className="button" href={partOf(query, { from: view.nextRank }, "queue")}>
          Later
        </Link>
      )}
    </nav>
  );
}

export function WatchPaging({ view, query }: { view: View; query: VisitsQuery }) {
  if (!query.watch && !view.nextWatch) return null;
  return (
    <nav className="pages" aria-label="Pages of the watch list">
      {query.watch ? (
        <Link className="button" href={partOf(query, { watch: "" }, "on-watch")}>
          From the first
        </Link>
      ) : null}
      {view.nextWatch ? (
        <Link className="button" href={partOf(query, { watch: view.nextWatch }, "on-watch")}>
          Next sites
        </Link>
      ) : null}
    </nav>
  );
}

export function FixesPaging({ view: { total, page }, query }: { view: OpenFixesView; query: VisitsQuery }) {
  const pages = Math.ceil(total / FIXES_PAGE);
  if (pages <= 1) return null;
  return (
    <nav className="pages" aria-label="Pages of the repairs">
      {page > 1 ? (
        <Link className="button" href={partOf(query, { fixes: page - 1 }, "repairs-under-watch")}>
          Earlier
        </Link>
      ) : null}
      <span>
        Page {page} of {pages}
      </span>
      {page < pages ? (
        <Link className="button" href={partOf(query, { fixes: page + 1 }, "repairs-under-watch")}>
          Later
        </Link>
      ) : null}
    </nav>
  );
}
