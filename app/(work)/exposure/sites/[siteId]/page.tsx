import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { currentActor } from "@/lib/reads/actor.ts";
import { readExposureSite } from "@/lib/reads/exposure.ts";
import { ExposureSite } from "./exposure-site.tsx";

export const metadata: Metadata = { title: "Exposure of a site" };
export const dynamic = "force-dynamic";

export default async function ExposureSitePage({ params }: { params: Promise<{ siteId: string }> }) {
  const view = await readExposureSite(await currentActor(), decodeURIComponent((await params).siteId));
  if (!view) notFound();
  return <ExposureSite view={view} />;
}
