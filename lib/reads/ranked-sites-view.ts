import { z } from "zod";
import { CAUSES } from "../core/records.ts";
import type { Driver } from "../correlate/site-correlation.ts";
import type { Urgency } from "./documents.ts";
import type { OpenMakeSafe, OpenMakeSafes } from "./make-safe-view.ts";

/** The URL is the filter state of the ranked list; this is its only definition. */
export const RankedSitesQuery = z.object({
  search: z.string().trim().max(200).catch("").default(""),
  portfolio: z.string().max(200).catch("").default(""),
  urgency: z.enum(["", "make_safe", "urgent", "planned", "watch"]).catch("").default(""),
  cause: z
    .enum(["", ...CAUSES])
    .catch("")
    .default(""),
  sort: z.enum(["rank", "probability", "energized", "name", "inspected", "rate_ratio"]).catch("rank").default("rank"),
  order: z.enum(["", "asc", "desc"]).catch("").default(""),
  /** Sites that somebody holds: left out, unless they are asked for. Emergencies always show. */
  held: z.enum(["", "all", "only"]).catch("").default(""),
  /** Part of the map: west, south, east, north in degrees. */
  box: z
    .string()
    .regex(/^-?[\d.]+(,-?[\d.]+){3}$/)
    .catch("")
    .default(""),
  page: z.coerce.number().int().min(1).catch(1).default(1),
});
export type RankedSitesQuery = z.infer<typeof RankedSitesQuery>;
export const PAGE_SIZE = 50;

/** Which way round a column is read when nobody said: the pressing end first. */
export const NATURAL_ORDER: Record<RankedSitesQuery["sort"], "asc" | "desc"> = {
  rank: "asc",
  probability: "desc",
  energized: "desc",
  name: "asc",
  inspected: "asc",
  rate_ratio: "desc",
};

/** Twelve months of a site by local day, oldest first: water above the line, ground faults below it. */
export interface RainStrip {
  /** Last local day, YYYY-MM-DD; the arrays end here. */
  endDay: string;
  /** mm of precipitation; null: not known. Length 365. */
  rainMm: (number | null)[];
  /** Hours with a dew film; null unknown. Length 365. */
  dewHours: (number | null)[];
  /** Ground-fault onsets of the site's units. Length 365. */
  onsets: number[];
}

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
  leadingP: number;
  driver: Driver;
  rateRatio: number | null;
  qValue: number | null;
  wetEpisodes: number;
  dryEpisodes: number;
  /** Local day of the newest inspection; null: never inspected. */
  lastInspected: string | null;
  strip: RainStrip;
  /** Set by until a day, by whom and why. */
  hold: { until: string; reason: string; by: string } | null;
}

export interface RankedSitesView {
  asOf: string | null;
  /** All sites of the account; 0 means an empty installation. */
  fleetSites: number;
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

/** How a person keeps the list. */
export const SitesSetting = z.object({
  columns: z.array(z.enum(SITE_COLUMNS)).default([...USUAL_COLUMNS]),
  filters: z
    .array(z.object({ name: z.string().trim().min(1).max(60), search: z.string().max(1000) }))
    .max(30)
    .default([]),
});
export type SitesSetting = z.infer<typeof SitesSetting>;

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

/** Many sites at once. */
export const SitesAction = z
  .object({
    action: z.enum(["queue", "hold", "release", "crew"]),
    siteIds: z.array(z.string().max(200)).min(1).max(500),
    until: z.iso.date().nullable().default(null),
    reason: z.string().trim().max(500).default(""),
    crewId: z.string().max(200).nullable().default(null),
  })
  .refine((a) => a.action !== "hold" || (a.until !== null && a.reason.length >= 3), {
    error: "a hold needs a day and a reason",
    path: ["reason"],
  })
  .refine((a) => a.action !== "crew" || a.crewId !== null, { error: "name a crew", path: ["crewId"] });
export type SitesAction = z.infer<typeof SitesAction>;

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
  sites: { siteId: string; name: string; urgency: Urgency; x: number; y: number }[];
  /** Mercator: degrees east of `center` and units a radian, for reading a box off the drawing. */
  projection: { center: number; scale: number; x: number; y: number };
  /** Sites beyond the most that are drawn. */
  notDrawn: number;
}
