import { z } from "zod";
import { CAUSES, COVERAGE_KINDS } from "../core/records.ts";

/** What a run over the books stores, as whoever shows it parses it. Money in the account's currency. */
export const Estimate = z.object({
  value: z.number(),
  error: z.number().describe("Standard error from having drawn finitely many years"),
});
export const Ranged = z.object({ value: z.number(), low: z.number(), high: z.number() });
export const Tail = z.object({
  level: z.number(),
  value_at_risk: Estimate.describe("Loss that the year stays within with this probability"),
  expected_shortfall: Estimate.describe("Mean loss of the years beyond"),
});

/** A missing or broken thing over the sites of a book. */
export const MissingProof = z.object({
  what: z.enum(["evidence", "condition", "terms"]),
  name: z.string(),
  state: z.enum(["missing", "broken", "unknown", "not_recorded"]),
  sites: z.number().int(),
  worth: z.number().describe("Rise of the expected recovery of the coming year with this alone, at all of its sites"),
});

export const BookResult = z.object({
  book: z.string().nullable().describe("Null: the whole account"),
  sites: z.number().int(),
  expected_gross: Ranged.describe("Expected loss of the coming year before recoveries"),
  expected_net: Ranged.describe(
    "After recoveries; low and high: every site's bonding probability at its 5 % and 95 % point at once",
  ),
  drawn_gross: Estimate,
  drawn_net: Estimate.describe("Mean of the drawn years, where limits that sites share bind"),
  tail: z.array(Tail),
  curve: z.array(z.object({ probability: z.number(), loss: z.number() })),
  proof: z
    .object({
      missing: z.array(MissingProof),
      all: z.number().describe("The same with everything that is missing or broken at once"),
    })
    // Absent in runs from before what a site can show entered the figures.
    .default({ missing: [], all: 0 }),
  defects: z.object({
    expected: Ranged.describe("Sites expected to have a bonding or grounding defect"),
    open: z.number().int().describe("Failed checks of bonding or grounding with neither a later pass nor a repair"),
    put_right: z.number().int().describe("Failed checks followed by a pass of the same check or a bonding repair"),
    held: z.number().int().describe("Repairs under watch that are known to have held"),
  }),
  trend: z.array(
    z.object({
      month: z.string(),
      sites: z.number().int(),
      expected_defects: z.number(),
      low: z.number(),
      high: z.number(),
    }),
  ),
});
export type BookResult = z.infer<typeof BookResult>;

export const SerialResult = z.object({
  batch: z.string(),
  sites: z.number().int(),
  least: z.number().int(),
  probability: Estimate,
  expected: z.number(),
});

export const BooksResult = z.object({
  currency: z.string(),
  years: z.number().int(),
  books: z.array(BookResult),
  whole: BookResult,
  serial: z.array(SerialResult),
  remarks: z.array(z.string()),
  /** Sites on record twice, which count as another. */
  countedAs: z.array(z.object({ siteId: z.string(), countedAs: z.string() })).default([]),
});
export type BooksResult = z.infer<typeof BooksResult>;

export const ChangeResult = z.object({
  book: z.string().nullable(),
  mean: Estimate,
  tail: z.array(Tail),
  before: z.object({ mean: Estimate, tail: z.array(Tail) }),
});

export const WhatIfResult = z.object({
  currency: z.string(),
  years: z.number().int(),
  change: ChangeResult,
  /** Expected loss a year, net, reckoned and not drawn: before, and what the act changes. */
  expected: z.object({ before: z.number(), change: z.number() }),
  sites: z.number().int(),
  cost: z.number().nullable(),
  says: z.array(z.string()),
});
export type WhatIfResult = z.infer<typeof WhatIfResult>;

/** What is kept of one site beside its sums. */
export const SiteLossDetail = z.object({
  byCause: z.array(
    z.object({
      cause: z.enum(CAUSES),
      probability: z.number(),
      repair: z.number(),
      property: z.number(),
      people: z.number(),
      energy: z.number(),
      escalation: z.number(),
      gross: z.number(),
      recovered: z.number(),
      net: z.number(),
    }),
  ),
  contracts: z.array(
    z.object({
      coverageId: z.string(),
      kind: z.enum(COVERAGE_KINDS),
      endsOn: z.string(),
      limit: z.number().nullable(),
      deductible: z.number(),
      valid: z.number(),
      conditions: z.number().default(1),
      evidence: z.number(),
      notice: z.number(),
      recovered: z.number(),
    }),
  ),
  remarks: z.array(z.object({ coverageId: z.string(), counted: z.boolean(), says: z.string() })),
  proof: z
    .object({
      completeness: z.number(),
      accepted: z.number(),
      gains: z.array(MissingProof.omit({ sites: true }).extend({ says: z.string(), coverageIds: z.array(z.string()) })),
      all: z.number(),
    })
    .nullable()
    .default(null),
  assumed: z.array(z.string()),
  missing: z.array(z.string()),
  installer: z.string().nullable(),
  batch: z.string().nullable(),
});
export type SiteLossDetail = z.infer<typeof SiteLossDetail>;

/** What can be asked, as it comes in over HTTP and as it is stored. */
export const WhatIfAct = z.discriminatedUnion("kind", [
  z.object({
    kind: z.literal("visit"),
    siteIds: z.array(z.string().max(200)).min(1, "name at least one site").max(500),
  }),
  z.object({ kind: z.literal("inspect"), installer: z.string().min(1).max(200) }),
  z.object({
    kind: z.literal("cover"),
    cover: z.enum(["property_insurance", "liability_insurance"]),
    limit: z.number().positive("the limit must be above 0").max(1e12),
    deductible: z.number().min(0, "the deductible must be 0 or more").max(1e12),
    basis: z.enum(["aggregate", "per_occurrence"]),
    premiumPerSite: z.number().min(0).max(1e9),
  }),
]);
export const WhatIfAsked = z
  .object({ book: z.string().max(200).nullable(), act: WhatIfAct })
  .refine(({ act }) => act.kind !== "cover" || act.limit >= act.deductible, {
    message: "the limit is below the deductible: such cover never pays",
    path: ["act", "limit"],
  });
export type WhatIfAsked = z.infer<typeof WhatIfAsked>;
