import Link from "next/link";
import { utcTime } from "@/app/_ui/format.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import type { RankedSitesView } from "@/lib/reads/ranked-sites-view.ts";
import { STEP_WORDS } from "@/lib/visit/make-safe-state.ts";

/** Emergencies: those under way with their state and who has them, and what the list calls for beside them. */
export function MakeSafeBanner({ view }: { view: RankedSitesView }) {
  const { makeSafe, byUrgency, openMakeSafes } = view;
  const open = new Set(openMakeSafes.map((one) => one.siteId));
  const others = makeSafe.filter((site) => !open.has(site.siteId));
  if (openMakeSafes.length === 0 && makeSafe.length === 0) return null;
  const more = byUrgency.make_safe - makeSafe.length;
  const sites = Math.max(byUrgency.make_safe, openMakeSafes.length);
  return (
    <section className="banner" aria-label="Sites to make safe now">
      <Urgency value="make_safe" />{" "}
      <strong>{sites === 1 ? "1 site" : `${sites} sites`} now: keep people off, do not reset.</strong>
      <ul>
        {openMakeSafes.map((one) => (
          <li key={one.makeSafeId} data-open-make-safe={one.siteId}>
            <Link href={`/sites/${encodeURIComponent(one.siteId)}`}>{one.siteName}</Link>{" "}
            <strong>{one.hasIt ? `${one.hasIt} has it` : "nobody has it"}</strong>, {STEP_WORDS[one.step].toLowerCase()}
            {one.next ? `, next: ${STEP_WORDS[one.next].toLowerCase()}` : ""} <Isolated since={one.isolatedSince} />
            <br />
            <span className="soft">
              {one.reason} Alert of {utcTime(one.openedAt)}.
            </span>
          </li>
        ))}
        {others.map((site) => (
          <li key={site.siteId}>
            <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>{site.name}</Link>: {site.reason}
          </li>
        ))}
        {more > 0 ? <li>and {more} more, first in the list below</li> : null}
      </ul>
    </section>
  );
}
