import Link from "next/link";
import { Urgency } from "@/app/_ui/urgency.tsx";
import type { RankedSitesView } from "@/lib/reads/ranked-sites-view.ts";

/** Names of the sites that cannot wait. */
export function MakeSafeBanner({ view }: { view: RankedSitesView }) {
  const { makeSafe, byUrgency } = view;
  if (makeSafe.length === 0) return null;
  const more = byUrgency.make_safe - makeSafe.length;
  return (
    <section className="banner" aria-label="Sites to make safe now">
      <Urgency value="make_safe" />{" "}
      <strong>
        {byUrgency.make_safe === 1 ? "1 site" : `${byUrgency.make_safe} sites`} now: keep people off, do not reset.
      </strong>
      <ul>
        {makeSafe.map((site) => (
          <li key={site.siteId}>
            <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>{site.name}</Link>: {site.reason}
          </li>
        ))}
        {more > 0 ? <li>and {more} more, first in the list below</li> : null}
      </ul>
    </section>
  );
}
