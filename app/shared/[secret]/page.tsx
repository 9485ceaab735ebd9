import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { SHARED_ONE_PAGE } from "@/app/_words/share.ts";
import { UNITS } from "@/lib/core/units.ts";
import { viewSharedSite } from "@/lib/writes/view-shared-site.ts";
import { SharedSite } from "./shared-site.tsx";

export const metadata: Metadata = { title: SHARED_ONE_PAGE.evidenceOfASite, robots: { index: false, follow: false } };
export const dynamic = "force-dynamic";

interface Props {
  params: Promise<{ secret: string }>;
  searchParams: Promise<{ units?: string | string[] }>;
}

// The link is the whole of the permission. Nothing here leads further into the installation.
export default async function SharedPage({ params, searchParams }: Props) {
  const { units } = await searchParams;
  const asked = UNITS.find((known) => known === units) ?? null;
  const view = await viewSharedSite(decodeURIComponent((await params).secret), Date.now(), asked);
  if (!view) notFound();
  return <SharedSite view={view} />;
}
