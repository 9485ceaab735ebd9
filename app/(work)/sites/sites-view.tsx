"use client";

import { keepPreviousData, useQuery } from "@tanstack/react-query";
import Link from "next/link";
import { useSearchParams } from "next/navigation";
import { useCallback, useState } from "react";
import { getJson } from "@/app/_ui/get-json.ts";
import { AWAY_LOOK_MS } from "@/app/_ui/query-client.ts";
import { RainStripLegend } from "@/app/_ui/rain-strip.tsx";
import { IfMay } from "@/app/_ui/role.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import { ServerAway } from "@/app/_ui/server-away.ts";
import { When } from "@/app/_ui/when.tsx";
import { SITES_VIEW } from "@/app/_words/sites.ts";
import type { RankedSitesQuery } from "@/lib/reads/ranked-sites-query.ts";
import { PAGE_SIZE, type RankedSitesView } from "@/lib/reads/ranked-sites-view.ts";
import { DemoPanel } from "../begin/demo-panel.tsx";
import { FirstSteps } from "../begin/first-steps.tsx";
import { FleetFindings } from "./fleet-findings.tsx";
import { ListSetting } from "./list-setting.tsx";
import { MakeSafeBanner } from "./make-safe-banner.tsx";
import { RowsBar } from "./rows-bar.tsx";
import { SitesFilters } from "./sites-filters.tsx";
import { SitesMap } from "./sites-map.tsx";
import { queryOfSearch, showSearch, sitesQueryKey, sitesSearch } from "./sites-query.ts";
import { SitesTable } from "./sites-table.tsx";
import { useMoves } from "./use-moves.ts";
import { useSitesSetting } from "./use-sites-setting.ts";

const REFRESH_MS = 15_000;
const REFRESH_WHILE_SCORING_MS = 2_000;

const refreshMs = (data: RankedSitesView | undefined, error: Error | null) => {
  if (error instanceof ServerAway) return AWAY_LOOK_MS;
  return (data?.staleSites ?? 0) > 0 ? REFRESH_WHILE_SCORING_MS : REFRESH_MS;
};

/** The ranked list. It refreshes itself, faster while scores are being computed and while the server is away. */
export function SitesView() {
  const query = queryOfSearch(useSearchParams());
  const { data: read, error } = useQuery({
    queryKey: sitesQueryKey(query),
    queryFn: () => getJson<RankedSitesView>(`/api/pages/sites${sitesSearch(query)}`),
    placeholderData: keepPreviousData,
    refetchInterval: (q) => refreshMs(q.state.data, q.state.error),
  });
  // Rows of a filter that could not be read yet: what was shown last stays, with what is typed beside it.
  const [last, setLast] = useState(read);
  if (read && read !== last) setLast(read);
  const data = read ?? last;
  useMoves(data?.moves);
  const search = sitesSearch(query);
  const go = useCallback(
    (next: Partial<RankedSitesQuery>) =>
      showSearch(sitesSearch({ ...queryOfSearch(new URLSearchParams(search)), page: 1, ...next })),
    [search],
  );
  const [setting, keep] = useSitesSetting();
  const [opened, setOpened] = useState<string | null>(null);
  const [chosen, setChosen] = useState<ReadonlySet<string>>(new Set());
  const [acted, setActed] = useState(false);
  const [mapOpen, setMapOpen] = useState(query.box !== "");
  const open = useCallback((siteId: string) => setOpened((now) => (now === siteId ? null : siteId)), []);
  const choose = useCallback((siteIds: readonly string[], on: boolean) => {
    setActed(true);
    setChosen((now) => {
      const next = new Set(now);
      for (const id of siteIds)
        if (on) next.add(id);
        else next.delete(id);
      return next;
    });
  }, []);
  if (!data) return error ? <LoadFailed error={error} /> : <p role="status">{SITES_VIEW.loadingTheList}</p>;
  if (data.fleetSites === 0) return <EmptyFleet />;
  return (
    <>
      <h1>{SITES_VIEW.rankedSites}</h1>
      <p className="soft">
        {SITES_VIEW.sitesRecordsUpTo(data.fleetSites)} {data.asOf ? <When at={data.asOf} /> : SITES_VIEW.notKnown}
        {SITES_VIEW.probabilityThatABonding}
      </p>
      {error ? <LoadFailed error={error} /> : null}
      {data.staleSites > 0 ? (
        <p className="note" role="status">
          {SITES_VIEW.forANewScore(
            data.staleSites,
            data.staleSites === 1 ? SITES_VIEW.siteWaits : SITES_VIEW.sitesWait,
          )}
        </p>
      ) : null}
      <MakeSafeBanner view={data} />
      <SitesFilters query={query} view={data} go={go} />
      <ListSetting query={query} setting={setting} keep={keep} />
      <details open={mapOpen} onToggle={(event) => setMapOpen(event.currentTarget.open)}>
        <summary>{SITES_VIEW.mapOfTheseSites}</summary>
        {mapOpen ? <SitesMap query={query} go={go} opened={opened} onOpen={open} /> : null}
      </details>
      {chosen.size > 0 || acted ? (
        <RowsBar chosen={chosen} crews={data.crews} onClear={() => setChosen(new Set())} />
      ) : null}
      <RainStripLegend />
      <p className="soft no-print">{SITES_VIEW.arrowsOrJAnd}</p>
      <SitesTable
        rows={data.rows}
        open={data.rowMakeSafes}
        query={query}
        go={go}
        columns={setting.columns}
        opened={opened}
        onOpen={open}
        chosen={chosen}
        onChoose={choose}
      />
      <Paging query={query} matching={data.matching} go={go} />
      <IfMay operation="fleet.read">
        <FleetFindings />
      </IfMay>
    </>
  );
}

const LoadFailed = ({ error }: { error: Error }) => (
  <Trouble says={error instanceof ServerAway ? SITES_VIEW.serverAway : SITES_VIEW.theListCouldNotBe(error.message)} />
);

function EmptyFleet() {
  return (
    <>
      <h1>{SITES_VIEW.noSitesYet}</h1>
      <p>{SITES_VIEW.yourOwnFilesLead}</p>
      <IfMay operation="imports.read">
        <p>
          <Link className="button main" href="/imports">
            {SITES_VIEW.importFiles}
          </Link>
        </p>
        <FirstSteps />
        <DemoPanel />
      </IfMay>
    </>
  );
}

function Paging({
  query,
  matching,
  go,
}: {
  query: RankedSitesQuery;
  matching: number;
  go: (next: Partial<RankedSitesQuery>) => void;
}) {
  const pages = Math.max(1, Math.ceil(matching / PAGE_SIZE));
  return (
    <nav className="pages" aria-label={SITES_VIEW.pagesOfTheList}>
      <button type="button" className="button" disabled={query.page <= 1} onClick={() => go({ page: query.page - 1 })}>
        {SITES_VIEW.earlier}
      </button>
      <span>{SITES_VIEW.pageOf(query.page, pages, matching, matching === 1 ? SITES_VIEW.site : SITES_VIEW.sites)}</span>
      <button
        type="button"
        className="button"
        disabled={query.page >= pages}
        onClick={() => go({ page: query.page + 1 })}
      >
        {SITES_VIEW.later}
      </button>
    </nav>
  );
}
