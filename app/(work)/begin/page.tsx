import { dehydrate, HydrationBoundary } from "@tanstack/react-query";
import type { Metadata } from "next";
import { queryClient } from "@/app/_ui/query-client.ts";
import { BEGIN_PAGE } from "@/app/_words/begin.ts";
import { authorise } from "@/lib/core/permissions.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readFirstRun } from "@/lib/reads/first-run.ts";
import { DemoPanel } from "./demo-panel.tsx";
import { FirstSteps } from "./first-steps.tsx";

export const metadata: Metadata = { title: BEGIN_PAGE.firstSteps };
export const dynamic = "force-dynamic";

// TanStack Query: the steps follow imports and scoring by themselves.
export default async function BeginPage() {
  const actor = await currentActor();
  authorise(actor, "imports.read"); // a failing prefetch would be swallowed
  const client = queryClient();
  await client.prefetchQuery({ queryKey: ["first-run"], queryFn: () => readFirstRun(actor) });
  return (
    <HydrationBoundary state={dehydrate(client)}>
      <h1>{BEGIN_PAGE.firstSteps}</h1>
      <p className="soft">{BEGIN_PAGE.fromYourOwnFiles}</p>
      <FirstSteps />
      <DemoPanel />
    </HydrationBoundary>
  );
}
