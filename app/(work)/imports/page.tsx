import { dehydrate, HydrationBoundary } from "@tanstack/react-query";
import type { Metadata } from "next";
import { queryClient } from "@/app/_ui/query-client.ts";
import { IMPORTS_PAGE } from "@/app/_words/imports.ts";
import { authorise } from "@/lib/core/permissions.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readImports } from "@/lib/reads/imports.ts";
import { ImportsView } from "./imports-view.tsx";

export const metadata: Metadata = { title: IMPORTS_PAGE.imports };
export const dynamic = "force-dynamic";

// TanStack Query: progress refreshes itself.
export default async function ImportsPage() {
  const actor = await currentActor();
  authorise(actor, "imports.read"); // a failing prefetch would be swallowed
  const client = queryClient();
  await client.prefetchQuery({ queryKey: ["imports"], queryFn: () => readImports(actor) });
  return (
    <HydrationBoundary state={dehydrate(client)}>
      <ImportsView />
    </HydrationBoundary>
  );
}
