import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { SITES_ONE_PAGE } from "@/app/_words/coverage.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readSiteCoverage } from "@/lib/reads/coverage-site.ts";
import { SiteCoverage } from "./site-coverage.tsx";

export const metadata: Metadata = { title: SITES_ONE_PAGE.coverageOfASite };
export const dynamic = "force-dynamic";

export default async function SiteCoveragePage({ params }: { params: Promise<{ siteId: string }> }) {
  const siteId = decodeURIComponent((await params).siteId);
  const view = await readSiteCoverage(await currentActor(), siteId, Date.now());
  if (!view) notFound();
  return <SiteCoverage view={view} />;
}
