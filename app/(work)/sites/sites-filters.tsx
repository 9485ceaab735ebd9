"use client";

import { useEffect, useRef, useState } from "react";
import { words } from "@/app/_ui/format.ts";
import { URGENCY_WORDS } from "@/app/_ui/urgency.tsx";
import { useDrawn } from "@/app/_ui/use-drawn.ts";
import { SITES_FILTERS } from "@/app/_words/sites.ts";
import { CAUSES } from "@/lib/core/records.ts";
import type { RankedSitesQuery } from "@/lib/reads/ranked-sites-query.ts";
import type { RankedSitesView } from "@/lib/reads/ranked-sites-view.ts";

const TYPING_MS = 250;

/** Filters of the list; the URL holds them. The slash key jumps to the search. */
export function SitesFilters({
  query,
  view,
  go,
}: {
  query: RankedSitesQuery;
  view: RankedSitesView;
  go: (next: Partial<RankedSitesQuery>) => void;
}) {
  const search = useRef<HTMLInputElement>(null);
  // Hundreds of books: the browser fills them in.
  const portfolios = useDrawn() ? view.portfolios : view.portfolios.filter((name) => name === query.portfolio);
  const [typed, setTyped] = useState(query.search);
  const [shown, setShown] = useState(query.search);
  const [sent, setSent] = useState(query.search);
  // A kept filter or a link brought another search: it is what the field says then. One's own search may come late.
  if (query.search !== shown) {
    setShown(query.search);
    if (query.search !== sent) setTyped(query.search);
  }
  useEffect(() => {
    if (typed.trim() === query.search) return;
    const timer = setTimeout(() => {
      setSent(typed.trim());
      go({ search: typed.trim() });
    }, TYPING_MS);
    return () => clearTimeout(timer);
  }, [typed, query.search, go]);
  useEffect(() => {
    const onKey = (event: KeyboardEvent) => {
      if (event.key !== "/" || !(event.ctrlKey || event.metaKey)) return;
      event.preventDefault();
      search.current?.focus();
    };
    document.addEventListener("keydown", onKey);
    return () => document.removeEventListener("keydown", onKey);
  }, []);
  return (
    <search className="filters">
      <label>
        {SITES_FILTERS.searchPress}
        <input
          ref={search}
          type="search"
          value={typed}
          onChange={(e) => setTyped(e.target.value)}
          placeholder={SITES_FILTERS.siteIdOrPortfolio}
        />
      </label>
      <label>
        {SITES_FILTERS.portfolio}
        <select value={query.portfolio} onChange={(e) => go({ portfolio: e.target.value })}>
          <option value="">{SITES_FILTERS.all}</option>
          {portfolios.map((name) => (
            <option key={name}>{name}</option>
          ))}
        </select>
      </label>
      <label>
        {SITES_FILTERS.urgency}
        <select value={query.urgency} onChange={(e) => go({ urgency: e.target.value as RankedSitesQuery["urgency"] })}>
          <option value="">{SITES_FILTERS.all}</option>
          {(["make_safe", "urgent", "planned", "watch"] as const).map((u) => (
            <option key={u} value={u}>
              {URGENCY_WORDS[u]} ({view.byUrgency[u]})
            </option>
          ))}
        </select>
      </label>
      <label>
        {SITES_FILTERS.leadingCause}
        <select value={query.cause} onChange={(e) => go({ cause: e.target.value as RankedSitesQuery["cause"] })}>
          <option value="">{SITES_FILTERS.all}</option>
          {CAUSES.map((cause) => (
            <option key={cause} value={cause}>
              {words(cause)}
            </option>
          ))}
        </select>
      </label>
      <label>
        {SITES_FILTERS.heldSites}
        <select value={query.held} onChange={(e) => go({ held: e.target.value as RankedSitesQuery["held"] })}>
          <option value="">{SITES_FILTERS.leftOut}</option>
          <option value="all">{SITES_FILTERS.shownToo}</option>
          <option value="only">{SITES_FILTERS.onlyThese}</option>
        </select>
      </label>
    </search>
  );
}
