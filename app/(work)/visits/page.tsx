import type { Metadata } from "next";
import { VISITS_PAGE } from "@/app/_words/visits.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readOpenFixes } from "@/lib/reads/fixes.ts";
import { readWrittenVisits } from "@/lib/reads/visit-papers.ts";
import { readVisits } from "@/lib/reads/visits.ts";
import { VisitsQuery } from "@/lib/reads/visits-view.ts";
import { OpenFixes } from "./open-fixes.tsx";
import { VisitsView } from "./visits-view.tsx";

export const metadata: Metadata = { title: VISITS_PAGE.visits };
export const dynamic = "force-dynamic";

// Rendered on the server.
export default async function VisitsPage({ searchParams }: { searchParams: Promise<Record<string, string>> }) {
  const query = VisitsQuery.parse(await searchParams);
  const actor = await currentActor();
  const [view, fixes, written] = await Promise.all([
    readVisits(actor, query),
    readOpenFixes(actor, query.fixes),
    readWrittenVisits(actor, null),
  ]);
  return (
    <>
      <VisitsView view={view} query={query} written={written} />
      <OpenFixes view={fixes} query={query} />
    </>
  );
}
