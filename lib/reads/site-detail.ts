import { z } from "zod";
import { WEATHER_STATES } from "../weather/weather-state.ts";

/** Beyond the contract's score: what a site's page shows of how it was computed. Stored with the newest score only. */
export const SiteDetail = z.object({
  episodes: z.array(
    z.object({
      onset: z.number(),
      end: z.number().nullable(),
      inverterIds: z.array(z.string()),
      rows: z.number(),
      state: z.enum(WEATHER_STATES),
      atRisk: z.boolean(),
      clearedOnDrying: z.boolean().nullable(),
      hoursSinceRain: z.number().nullable(),
      censored: z.string().nullable(),
      wet: z.boolean().nullable(),
    }),
  ),
  counts: z.record(z.string(), z.number()),
  excludedUnitHours: z.record(z.string(), z.number()),
  window: z.object({ from: z.number(), to: z.number() }).nullable(),
  station: z.object({
    stationId: z.string().nullable(),
    name: z.string().nullable(),
    distanceKm: z.number().nullable(),
    coverage: z.number().nullable(),
    says: z.string(),
  }),
});
export type SiteDetail = z.infer<typeof SiteDetail>;
