import { dehydrate, HydrationBoundary } from "@tanstack/react-query";
import type { Metadata } from "next";
import { queryClient } from "@/app/_ui/query-client.ts";
import { ALERTS_PAGE } from "@/app/_words/alerts.ts";
import { authorise } from "@/lib/core/permissions.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readAlerts } from "@/lib/reads/alerts.ts";
import { AlertsView } from "./alerts-view.tsx";

export const metadata: Metadata = { title: ALERTS_PAGE.alerts };
export const dynamic = "force-dynamic";

// TanStack Query: alerts come by themselves.
export default async function AlertsPage() {
  const actor = await currentActor();
  authorise(actor, "alerts.read"); // a failing prefetch would be swallowed
  const client = queryClient();
  await client.prefetchQuery({ queryKey: ["alerts"], queryFn: () => readAlerts(actor) });
  return (
    <HydrationBoundary state={dehydrate(client)}>
      <AlertsView />
    </HydrationBoundary>
  );
}
