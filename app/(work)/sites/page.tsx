import { dehydrate } from "@tanstack/react-query";
import type { Metadata } from "next";
import { Hydrated } from "@/app/_ui/hydrated.tsx";
import { queryClient } from "@/app/_ui/query-client.ts";
import { SITES_PAGE } from "@/app/_words/sites.ts";
import { currentActor } from "@/lib/reads/actor.ts";
import { readSitesPage } from "@/lib/reads/ranked-sites.ts";
import { RankedSitesQuery } from "@/lib/reads/ranked-sites-query.ts";
import { sitesQueryKey } from "./sites-query.ts";
import { SitesView } from "./sites-view.tsx";

export const metadata: Metadata = { title: SITES_PAGE.rankedSites };
export const dynamic = "force-dynamic";

// TanStack Query: the list refreshes itself; the page only prefetches its first state.
export default async function SitesPage({ searchParams }: { searchParams: Promise<Record<string, string>> }) {
  const query = RankedSitesQuery.parse(await searchParams);
  const actor = await currentActor();
  const client = queryClient();
  const { list, setting } = await readSitesPage(actor, query);
  client.setQueryData(sitesQueryKey(query), list);
  client.setQueryData(["sites-setting"], setting);
  return (
    <Hydrated text={JSON.stringify(dehydrate(client))}>
      <SitesView />
    </Hydrated>
  );
}
