import type { RankedSitesQuery } from "@/lib/reads/ranked-sites-query.ts";

export const sitesQueryKey = (query: RankedSitesQuery) => ["sites", query] as const;

const DEFAULTS: Record<string, string> = {
  search: "",
  portfolio: "",
  urgency: "",
  cause: "",
  sort: "rank",
  order: "",
  held: "",
  box: "",
  page: "1",
};

/** The filter as URL parameters, without those at their default. */
export function sitesSearch(query: RankedSitesQuery): string {
  const params = new URLSearchParams();
  for (const [name, value] of Object.entries(query))
    if (String(value) !== DEFAULTS[name]) params.set(name, String(value));
  const text = params.toString();
  return text ? `?${text}` : "";
}

/** The filter that the address holds. What it should not hold the server puts right when it is asked for rows. */
export function queryOfSearch(params: URLSearchParams): RankedSitesQuery {
  const read = Object.fromEntries(Object.entries(DEFAULTS).map(([name, usual]) => [name, params.get(name) ?? usual]));
  return { ...read, page: Math.max(1, Math.trunc(Number(read.page)) || 1) } as RankedSitesQuery;
}

/**
 * Put a filter into the address. The server is asked for rows only, not for the page: one that is away could not give it, and
 * what is typed and chosen on it would be gone.
 */
export const showSearch = (search: string) => window.history.replaceState(null, "", `/sites${search}`);
