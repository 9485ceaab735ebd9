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
