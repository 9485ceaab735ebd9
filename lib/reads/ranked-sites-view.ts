import type { StripDays } from "../core/packed-strip.ts";
import type { Driver } from "../correlate/site-correlation.ts";
import type { Urgency } from "./documents.ts";
import type { OpenMakeSafe, OpenMakeSafes } from "./make-safe-view.ts";

// What the browser needs of the list. Schemas are in a file of their own: their library stays on the server.

/** Rows of a page of the list. */
export const PAGE_SIZE = 50;

/** Columns that the list can be ordered by. */
export const SITE_SORTS = ["rank", "probability", "energized", "name", "inspected", "rate_ratio"] as const;
export type SiteSort = (typeof SITE_SORTS)[number];

/** Which way round a column is read when nobody said: the pressing end first. */
export const NATURAL_ORDER: Record<SiteSort, "asc" | "desc"> = {
  rank: "asc",
  probability: "desc",
  energized: "desc",
  name: "asc",
  inspected: "asc",
  rate_ratio: "desc",
};

/** Twelve months of a site by day. */
export type RainStrip = StripDays;

export interface RankedSiteRow {
  siteId: string;
  name: string;
  portfolio: string;
  /** Place in the queue; null for sites on watch. */
  rank: number | null;
  urgency: Urgency;
  bonding: { p: number; low: number; high: number };
  energized: { p: number; low: number; high: number };
  leadingCause: string;
  driver: Driver;
  rateRatio: number | null;
  qValue: number | null;
  wetEpisodes: number;
  dryEpisodes: number;
  /** Local day of the newest inspection; null: never inspected. */
  lastInspected: string | null;
  /** Twelve months by day, packed (`core/packed-strip.ts`). */
  strip: string;
  /** Set by until a day, by whom and why. */
  hold: { until: string; reason: string; by: string } | null;
}

export interface RankedSitesView {
  asOf: string | null;
  /** All sites of the account; 0 means an empty installation. */
  fleetSites: number;
  /** Another number than before: scores or ranks moved since. */
  moves: number;
  /** Sites whose score waits for recomputation. */
  staleSites: number;
  /** Sites that match the filter. */
  matching: number;
  rows: RankedSiteRow[];
  portfolios: string[];
  /** Crews that a site can be given to. */
  crews: { crewId: string; name: string }[];
  byUrgency: Record<Urgency, number>;
  /** Names of the make-safe sites, most pressing first (at most 6). */
  makeSafe: { siteId: string; name: string; reason: string }[];
  /** Emergencies that are under way: all counted, the first of them told. */
  openMakeSafes: OpenMakeSafes;
  /** Those at sites of this page, and at `makeSafe`. */
  rowMakeSafes: OpenMakeSafe[];
}

/** Columns of the list besides the site itself, in order. */
export const SITE_COLUMNS = [
  "urgency",
  "bonding",
  "energized",
  "cause",
  "wet_dry",
  "strip",
  "inspected",
  "portfolio",
] as const;
export type SiteColumn = (typeof SITE_COLUMNS)[number];
export const USUAL_COLUMNS: readonly SiteColumn[] = ["urgency", "bonding", "cause", "wet_dry", "strip", "inspected"];

/** What opens in place under a row. */
export interface SiteBrief {
  siteId: string;
  answer: string;
  /** Reasons of the proposed visit, or why there is none. */
  why: string[];
  strongestFor: { source: string; decibans: number; says: string } | null;
  strongestAgainst: { source: string; decibans: number; says: string } | null;
  gaps: number;
}

export interface SitesActionDone {
  done: number;
  skipped: { siteId: string; why: string }[];
}

/** Sites of the list as a drawing; x and y in its own units. */
export interface SitesMap {
  width: number;
  height: number;
  states: string;
  counties: string;
  graticule: string;
  /** All sites that are drawn. */
  total: number;
  /** A site, or several near each other of one urgency with the part of the map that they stand in. */
  marks: ({ urgency: Urgency; x: number; y: number } & (
    | { siteId: string; name: string }
    | { n: number; box: string }
  ))[];
  /** Mercator: degrees east of `center` and units a radian, for reading a box off the drawing. */
  projection: { center: number; scale: number; x: number; y: number };
}
