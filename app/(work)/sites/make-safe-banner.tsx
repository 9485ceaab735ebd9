"use client";

import { keepPreviousData, useInfiniteQuery } from "@tanstack/react-query";
import Link from "next/link";
import { useState } from "react";
import { getJson } from "@/app/_ui/get-json.ts";
import { Isolated } from "@/app/_ui/isolated.tsx";
import { Trouble } from "@/app/_ui/said.tsx";
import { MOMENT, Timed } from "@/app/_ui/timed.tsx";
import { Urgency } from "@/app/_ui/urgency.tsx";
import { MAKE_SAFE_BANNER } from "@/app/_words/sites.ts";
import type { MakeSafeState, OpenMakeSafe, OpenMakeSafes } from "@/lib/reads/make-safe-view.ts";
import type { RankedSitesView } from "@/lib/reads/ranked-sites-view.ts";
import { STEP_WORDS } from "@/lib/visit/make-safe-state.ts";

/** Emergencies told in full before the list; the rest is one tap away. */
const SHOWN = 4;
const REFRESH_MS = 15_000;

const STATES: Record<MakeSafeState, string> = {
  nobody: MAKE_SAFE_BANNER.nobodyHas,
  taken: MAKE_SAFE_BANNER.somebodyHasNotIsolated,
  isolated: MAKE_SAFE_BANNER.isolated,
  watched: MAKE_SAFE_BANNER.onWatchAfterRe,
};

/** Emergencies: those under way with their state and who has them, and what the list calls for beside them. */
export function MakeSafeBanner({ view }: { view: RankedSitesView }) {
  const { makeSafe, byUrgency, openMakeSafes, rowMakeSafes } = view;
  const { total, states, shown } = openMakeSafes;
  const open = new Set(rowMakeSafes.map((one) => one.siteId));
  const others = makeSafe.filter((site) => !open.has(site.siteId));
  if (total === 0 && makeSafe.length === 0) return null;
  const named = others.slice(0, Math.max(0, SHOWN - total));
  const more = byUrgency.make_safe - named.length;
  const sites = Math.max(byUrgency.make_safe, total);
  return (
    <section className="banner" aria-label={MAKE_SAFE_BANNER.sitesToMakeSafe}>
      <Urgency value="make_safe" />{" "}
      <strong>
        {MAKE_SAFE_BANNER.nowKeepPeopleOff(sites === 1 ? MAKE_SAFE_BANNER.site : MAKE_SAFE_BANNER.sites(sites))}
      </strong>
      <p className="band-counts">
        {states.map(({ state, n }) =>
          n > 0 ? <span key={state}>{`${n.toLocaleString("en-US")} ${STATES[state]}`}</span> : null,
        )}
      </p>
      <ul>
        {shown.map((one) => (
          <OpenLine key={one.makeSafeId} one={one} />
        ))}
        {named.map((site) => (
          <li key={site.siteId}>
            <Link href={`/sites/${encodeURIComponent(site.siteId)}`}>{site.name}</Link>: {site.reason}
          </li>
        ))}
        {total === 0 && more > 0 ? <li>{MAKE_SAFE_BANNER.andMoreFirstIn(more)}</li> : null}
      </ul>
      {openMakeSafes.left > 0 ? <Others first={openMakeSafes} /> : null}
    </section>
  );
}

/** The emergencies after the first ones, fetched when they are opened, a page at a time. */
function Others({ first }: { first: OpenMakeSafes }) {
  const [isOpen, setIsOpen] = useState(false);
  const { data, error, isFetchingNextPage, fetchNextPage } = useInfiniteQuery({
    queryKey: ["make-safes", first.next],
    queryFn: ({ pageParam, signal }) =>
      getJson<OpenMakeSafes>(`/api/pages/make-safes?after=${encodeURIComponent(pageParam)}`, signal),
    initialPageParam: first.next ?? "",
    getNextPageParam: (last) => last.next,
    placeholderData: keepPreviousData,
    enabled: isOpen,
    refetchInterval: REFRESH_MS,
  });
  const left = data?.pages.at(-1)?.left ?? 0;
  return (
    <details onToggle={(event) => setIsOpen(event.currentTarget.open)}>
      <summary>{MAKE_SAFE_BANNER.theOtherWithWho(first.left)}</summary>
      <Trouble says={error?.message} />
      {isOpen && !data && !error ? <p role="status">{MAKE_SAFE_BANNER.loadingOthers}</p> : null}
      <ul>
        {data?.pages
          .flatMap((page) => page.shown)
          .map((one) => (
            <OpenLine key={one.makeSafeId} one={one} />
          ))}
      </ul>
      {left > 0 ? (
        <p>
          <button type="button" className="button" disabled={isFetchingNextPage} onClick={() => fetchNextPage()}>
            {isFetchingNextPage ? MAKE_SAFE_BANNER.loading : MAKE_SAFE_BANNER.moreLeft(left)}
          </button>
        </p>
      ) : null}
    </details>
  );
}

function OpenLine({ one }: { one: OpenMakeSafe }) {
  return (
    <li data-open-make-safe={one.siteId}>
      <Link href={`/sites/${encodeURIComponent(one.siteId)}`}>{one.siteName}</Link>{" "}
      <strong>{one.hasIt ? MAKE_SAFE_BANNER.hasIt(one.hasIt) : MAKE_SAFE_BANNER.nobodyHasIt}</strong>,{" "}
      {STEP_WORDS[one.step].toLowerCase()}
      {one.next ? MAKE_SAFE_BANNER.next(STEP_WORDS[one.next].toLowerCase()) : ""} <Isolated since={one.isolatedSince} />
      <br />
      <span className="soft">
        <Timed says={MAKE_SAFE_BANNER.alertOf(one.reason, MOMENT)} at={one.openedAt} />
      </span>
    </li>
  );
}
