import { z } from "zod";
import { CAUSES } from "../core/records.ts";
import { SITE_COLUMNS, SITE_SORTS, USUAL_COLUMNS } from "./ranked-sites-view.ts";

/** The URL is the filter state of the ranked list; this is its only definition. */
export const RankedSitesQuery = z.object({
  search: z.string().trim().max(200).catch("").default(""),
  portfolio: z.string().max(200).catch("").default(""),
  urgency: z.enum(["", "make_safe", "urgent", "planned", "watch"]).catch("").default(""),
  cause: z
    .enum(["", ...CAUSES])
    .catch("")
    .default(""),
  sort: z.enum(SITE_SORTS).catch("rank").default("rank"),
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
/** How a person keeps the list. */
export const SitesSetting = z.object({
  columns: z.array(z.enum(SITE_COLUMNS)).default([...USUAL_COLUMNS]),
  filters: z
    .array(z.object({ name: z.string().trim().min(1).max(60), search: z.string().max(1000) }))
    .max(30)
    .default([]),
});
export type SitesSetting = z.infer<typeof SitesSetting>;

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
