import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { SiteZone } from "@/app/_ui/when.tsx";
import { SITES_ONE_PAGE } from "@/app/_words/site.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readFixes } from "@/lib/reads/fixes.ts";
import { readGroundingPath } from "@/lib/reads/grounding-path.ts";
import { readSiteMakeSafe } from "@/lib/reads/make-safe.ts";
import { readPathEdit } from "@/lib/reads/path-edit.ts";
import { readSite } from "@/lib/reads/site.ts";
import { readSiteTimeline } from "@/lib/reads/site-timeline.ts";
import { readWrittenVisits } from "@/lib/reads/visit-papers.ts";
import { SiteView } from "./site-view.tsx";

export const metadata: Metadata = { title: SITES_ONE_PAGE.site };
export const dynamic = "force-dynamic";

// Rendered on the server; charts, the next tests and what-if are client components, and the time line fetches finer steps
// when zoomed.
export default async function SitePage({ params }: { params: Promise<{ siteId: string }> }) {
  const siteId = decodeURIComponent((await params).siteId);
  const actor = await currentActor();
  const view = await readSite(actor, siteId);
  if (!view) notFound();
  const [makeSafe, timeline, fixes, path, edit, written] = await Promise.all([
    readSiteMakeSafe(actor, siteId),
    readSiteTimeline(actor, siteId),
    readFixes(actor, siteId),
    readGroundingPath(actor, siteId),
    readPathEdit(actor, siteId),
    readWrittenVisits(actor, siteId),
  ]);
  return (
    <SiteZone zone={view.site.timeZone}>
      <SiteView
        view={view}
        makeSafe={makeSafe}
        timeline={timeline}
        fixes={fixes}
        path={path}
        edit={edit}
        written={written}
      />
    </SiteZone>
  );
}
