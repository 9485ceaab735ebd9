import { z } from "zod";
import { CAUSES } from "../core/records.ts";

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
  page: z.coerce.number().int().min(1).catch(1).default(1),
});
export type RankedSitesQuery = z.infer<typeof RankedSitesQuery>;
