/**
 * The documents that the command line and the HTTP API give out, exactly as the outside contract names them.
 * Pages show the same objects, so a number cannot differ between them. The OpenAPI description is made from here.
 */

import { z } from "zod";
import { CAUSES, CHECKS, READING_UNITS, SKILLS } from "../core/records.ts";
import { DRIVERS } from "../correlate/site-correlation.ts";
import { UNSERVED_CODES } from "../dispatch/routes/plan-input.ts";

const Time = z.iso.datetime({ offset: true });
const Probability = z.number().min(0).max(1);

export const BandedProbability = z
  .object({ p: Probability, low: Probability, high: Probability })
  .describe("A probability with its 5 % and 95 % points under parameter uncertainty");

export const WeatherBlock = z.object({
  driver: z.enum(DRIVERS),
  rate_ratio: z.number().nullable().describe("Ground-fault onsets per unit-hour at risk, wet over dry"),
  low: z.number().nullable().describe("Lower end of the 95 % interval of rate_ratio"),
  high: z.number().nullable().describe("Upper end of the 95 % interval of rate_ratio"),
  p_value: z.number().nullable(),
  q_value: z.number().nullable().describe("Adjusted across the fleet (Benjamini-Hochberg)"),
  wet_hours: z.number().describe("Unit-hours at risk while wet"),
  wet_episodes: z.number().int(),
  dry_hours: z.number().describe("Unit-hours at risk while dry"),
  dry_episodes: z.number().int(),
  clock_offset_hours: z.number().nullable().describe("Log time minus true time, a proposal"),
});

export const SiteScore = z.object({
  site_id: z.string(),
  bonding_defect: BandedProbability.describe("Probability that at least one bonding-family cause is present at as_of"),
  energized_metal: BandedProbability.describe("Probability that metal someone can touch may be energised"),
  causes: z
    .record(z.enum(CAUSES), Probability)
    .describe("Marginal probabilities; causes coexist and need not sum to 1"),
  cause_bands: z
    .record(z.enum(CAUSES), z.object({ low: Probability, high: Probability }))
    .optional()
    .describe("The 5 % and 95 % points of each cause's probability; absent in scores made before they were kept"),
  weather: WeatherBlock,
  evidence: z.array(
    z.object({
      source: z.string(),
      decibans: z.number(),
      says: z.string(),
      without_decibans: z
        .number()
        .optional()
        .describe("Decibans that the belief would lose without this item, all others kept; these do not sum"),
    }),
  ),
  shared_log_odds: z
    .partialRecord(z.enum(CAUSES), z.number())
    .optional()
    .describe("Log odds that confirmed visits of other sites of the installer or hardware batch added to a cause"),
  gaps: z.array(z.object({ what: z.string(), says: z.string() })),
  notes: z.array(z.string()),
});

export const ScoreDocument = z.object({ as_of: Time.nullable(), sites: z.array(SiteScore) });

export const ChecklistItem = z.object({
  check: z.enum(CHECKS),
  section_id: z.string().nullable(),
  inverter_id: z.string().nullable(),
  says: z.string(),
  accept: z.string(),
  code_reference: z.string().nullable(),
  unit: z.enum(READING_UNITS).nullable(),
  caution: z.string(),
  source: z.literal("coverage").optional().describe("Set where a warranty or policy lacks what can be got here"),
  for_coverage: z.array(z.string()).optional().describe("What it lacks, and how to get it"),
});

export const URGENCIES = ["make_safe", "urgent", "planned"] as const;

export const QueueVisit = z.object({
  visit_id: z.string(),
  rank: z.number().int(),
  site_id: z.string(),
  urgency: z.enum(URGENCIES),
  expected_loss: z.number().nullable().describe("Per year, account currency"),
  expected_loss_avoided: z.number().nullable(),
  visit_cost: z.number().nullable(),
  hours_on_site: z.number(),
  skills: z.array(z.enum(SKILLS)),
  reasons: z.array(z.string()),
  checklist: z.array(ChecklistItem),
  still_open: z
    .array(
      ChecklistItem.pick({ check: true, section_id: true, inverter_id: true, says: true }).extend({
        minutes: z.number(),
      }),
    )
    .optional()
    .describe("What does not fit into one visit of a large site and stays open for the next"),
  before_work: z
    .array(z.object({ source: z.literal("coverage"), step: z.enum(["ask_carrier", "keep_parts"]), says: z.string() }))
    .optional()
    .describe("Of a claim site: what comes before anything is altered"),
});

export const QueueDocument = z.object({
  as_of: Time.nullable(),
  currency: z.string(),
  visits: z.array(QueueVisit),
  watch: z.array(z.object({ site_id: z.string(), reason: z.string(), would_change: z.string() })),
});

export const PlanDocument = z.object({
  as_of: Time.nullable(),
  routes: z.array(
    z.object({
      crew_id: z.string(),
      date: z.string().describe("In the crew's zone"),
      leave: z.string().describe("With the crew's offset"),
      return: z.string(),
      return_km: z.number(),
      stops: z.array(
        z.object({
          visit_id: z.string(),
          site_id: z.string(),
          arrive: z.string(),
          start: z.string(),
          depart: z.string(),
          drive_km: z.number(),
          drive_minutes: z.number(),
          pinned: z.boolean(),
        }),
      ),
    }),
  ),
  unserved: z.array(
    z.object({ visit_id: z.string(), site_id: z.string(), code: z.enum(UNSERVED_CODES), why: z.string() }),
  ),
  notes: z.array(z.string()).optional().describe("What of the crews could not be used as recorded, or was assumed"),
  objective: z.number().describe("Loss avoided by the visits served, account currency"),
  bound: z.number().nullable().describe("No plan with the same make-safe and promised visits avoids more"),
  gap: z.number().nullable().describe("(bound - objective) / bound"),
});
export type PlanDocument = z.infer<typeof PlanDocument>;

export const WeatherDocument = z.object({
  station_id: z.string(),
  hours: z.array(
    z.object({
      observed_at: Time.describe("The hour that ends here"),
      precipitation_mm: z.number().nullable(),
      temperature_c: z.number().nullable(),
      dew_point_c: z.number().nullable(),
      wind_m_s: z.number().nullable(),
      thunder: z.union([z.literal(0), z.literal(1)]).nullable(),
      wet: z.boolean().nullable(),
    }),
  ),
  totals: z.object({ precipitation_mm: z.number(), known_hours: z.number().int(), unknown_hours: z.number().int() }),
});

export const ImportDocument = z.object({
  files: z.array(
    z.object({
      file: z.string(),
      rows: z.number().int(),
      accepted: z.number().int(),
      unchanged: z.number().int(),
      set_aside: z.number().int(),
      notes: z.array(z.string()),
    }),
  ),
  set_aside_file: z.string().nullable(),
});

/** An import while it runs, over HTTP: the import document plus where it stands. */
export const ImportStatusDocument = ImportDocument.extend({
  import_id: z.string(),
  status: z.enum(["asking", "waiting", "running", "done", "failed", "cancelled"]),
  error: z.string().nullable(),
});

export const ErrorDocument = z.object({ error: z.object({ code: z.string(), message: z.string() }) });

export type SiteScore = z.infer<typeof SiteScore>;
export type ScoreDocument = z.infer<typeof ScoreDocument>;
export type ChecklistItem = z.infer<typeof ChecklistItem>;
export type QueueVisit = z.infer<typeof QueueVisit>;
export type QueueDocument = z.infer<typeof QueueDocument>;
export type WeatherDocument = z.infer<typeof WeatherDocument>;
export type ImportDocument = z.infer<typeof ImportDocument>;
export type ImportStatusDocument = z.infer<typeof ImportStatusDocument>;
export type Urgency = (typeof URGENCIES)[number] | "watch";
