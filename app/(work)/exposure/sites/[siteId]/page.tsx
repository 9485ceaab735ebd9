import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { SITES_ONE_PAGE } from "@/app/_words/exposure.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readCountedAs, readExposureSite } from "@/lib/reads/exposure.ts";
import { CountedAs } from "./counted-as.tsx";
import { ExposureSite } from "./exposure-site.tsx";

export const metadata: Metadata = { title: SITES_ONE_PAGE.exposureOfASite };
export const dynamic = "force-dynamic";

export default async function ExposureSitePage({ params }: { params: Promise<{ siteId: string }> }) {
  const actor = await currentActor();
  const siteId = decodeURIComponent((await params).siteId);
  const view = await readExposureSite(actor, siteId);
  if (view) return <ExposureSite view={view} />;
  const countedAs = await readCountedAs(actor, siteId);
  if (countedAs === null) notFound();
  return <CountedAs siteId={siteId} countedAs={countedAs} />;
}
