import { z } from "zod";
import { MAKE_SAFE_TRIGGERS } from "../dispatch/make-safe-trigger.ts";
import { WEATHER_STATES } from "../weather/weather-state.ts";

const SpanCounts = z.object({
  wetHours: z.number(),
  wetEpisodes: z.number(),
  dryHours: z.number(),
  dryEpisodes: z.number(),
});

/** What is known of a repair since it was made, as stored with the newest score. */
export const StoredFix = z.object({
  repairedAt: z.number(),
  day: z.string(),
  cause: z.string(),
  sectionId: z.string().nullable(),
  inverterId: z.string().nullable(),
  action: z.string().nullable(),
  state: z.enum(["held", "trips_go_on", "no_recurrence_seen", "too_early"]),
  stillThere: z.object({ p: z.number(), low: z.number(), high: z.number() }),
  before: SpanCounts,
  after: SpanCounts,
  wetHoursToGo: z.number().nullable(),
  expectedBy: z.number().nullable(),
  /** What the date rests on: the station's wetness by month, or the pace of the log. */
  expectedFrom: z.enum(["station", "log"]).nullable(),
  reopened: z.boolean(),
  missing: z.array(z.string()),
  detectorUnchanged: z.boolean().nullable(),
  says: z.string(),
});
export type StoredFix = z.infer<typeof StoredFix>;

/** A fact that makes a site an emergency whatever its score, as the queue found it. */
export const MakeSafeFinding = z.object({
  trigger: z.enum(MAKE_SAFE_TRIGGERS),
  reason: z.string(),
  since: z.number().nullable(),
  sectionId: z.string().nullable(),
  inverterId: z.string().nullable(),
});

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
    /** Stations that stand in where the first is silent; absent in details stored before stations were blended. */
    trusted: z.array(z.string()).default([]),
  }),
  /** Absent in details stored before repairs were watched. */
  fixes: z.array(StoredFix).default([]),
  /** Findings that make the site an emergency; absent in details stored before make_safes ran to their end. */
  makeSafe: z.array(MakeSafeFinding).default([]),
});
export type SiteDetail = z.infer<typeof SiteDetail>;
