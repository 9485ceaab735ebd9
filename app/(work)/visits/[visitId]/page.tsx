import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { SiteZone } from "@/app/_ui/when.tsx";
import { VISITS_ONE_PAGE } from "@/app/_words/visit.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readVisit } from "@/lib/reads/visit.ts";
import { VisitView } from "./visit-view.tsx";

export const metadata: Metadata = { title: VISITS_ONE_PAGE.checklist };
export const dynamic = "force-dynamic";

// Rendered on the server; made to be printed.
export default async function VisitPage({ params }: { params: Promise<{ visitId: string }> }) {
  const visitId = decodeURIComponent((await params).visitId);
  const view = await readVisit(await currentActor(), visitId);
  if (!view) notFound();
  return (
    <SiteZone zone={view.site.timeZone}>
      <VisitView view={view} />
    </SiteZone>
  );
}
