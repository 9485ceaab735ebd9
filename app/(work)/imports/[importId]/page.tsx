import { dehydrate, HydrationBoundary } from "@tanstack/react-query";
import type { Metadata } from "next";
import { notFound } from "next/navigation";
import { queryClient } from "@/app/_ui/query-client.ts";
import { IMPORTS_ONE_PAGE } from "@/app/_words/imports.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readImport } from "@/lib/reads/imports.ts";
import { ImportView } from "./import-view.tsx";

export const metadata: Metadata = { title: IMPORTS_ONE_PAGE.import };
export const dynamic = "force-dynamic";

// TanStack Query: progress refreshes itself.
export default async function ImportPage({ params }: { params: Promise<{ importId: string }> }) {
  const importId = decodeURIComponent((await params).importId);
  const view = await readImport(await currentActor(), importId);
  if (!view) notFound();
  const client = queryClient();
  client.setQueryData(["import", importId], view);
  return (
    <HydrationBoundary state={dehydrate(client)}>
      <ImportView importId={importId} />
    </HydrationBoundary>
  );
}
