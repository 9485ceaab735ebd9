import { computedInspection } from "../core/computed-inspection.ts";
import "server-only";
import { z } from "zod";
import { authorise } from "../core/permissions.ts";
import { CHECKS, type Inspection, OUTCOMES, READING_UNITS } from "../core/records.ts";
import { diagnose } from "../diagnose/diagnose.ts";
import type { DiagnoseInput } from "../diagnose/diagnose-input.ts";
import type { Diagnosis } from "../diagnose/diagnosis.ts";
import { nextTests, withInspection } from "../diagnose/expected-information.ts";
import { BAND_DRAWS } from "../jobs/score-site.ts";
import { type SiteBasis, siteBasis } from "../jobs/site-basis.ts";
import type { Actor } from "../store/actor.ts";
import type { Believed, NextTestsView, WhatIfView } from "./what-if-view.ts";

export const WhatIfBody = z.object({
  findings: z
    .array(
      z
        .object({
          check: z.enum(CHECKS),
          outcome: z.enum(OUTCOMES),
          sectionId: z.string().max(200).nullable().default(null),
          inverterId: z.string().max(200).nullable().default(null),
          value: z
            .string()
            .trim()
            .regex(/^\d{1,9}(\.\d{1,6})?$/, "a number of 0 or more")
            .nullable()
            .default(null),
          unit: z.enum(READING_UNITS).nullable().default(null),
        })
        .refine((f) => (f.value === null) === (f.unit === null), "a value and its unit belong together"),
    )
    .min(1, "set at least one finding")
    .max(20),
});
type Finding = z.infer<typeof WhatIfBody>["findings"][number];

/** The finding as an inspection row made at the instant of the score. */
function asInspection(finding: Finding, { site, asOf }: SiteBasis): Inspection {
  return computedInspection({ ...finding, siteId: site.records.site.siteId }, asOf);
}

function withFindings(basis: SiteBasis, findings: readonly Finding[]) {
  const { records, correlation, shared } = basis.site;
  const start: DiagnoseInput = { records, correlation, asOf: basis.asOf, shared };
  const input = findings.reduce((made, finding) => withInspection(made, asInspection(finding, basis)), start);
  return { records: input.records, diagnosis: diagnose(input, basis.parameters, { draws: BAND_DRAWS }) };
}

function believed(diagnosis: Diagnosis, urgency: Believed["urgency"]): Believed {
  const { bondingDefect, energizedMetal, causes, causeBands, evidence } = diagnosis;
  return {
    bonding: bondingDefect,
    energized: energizedMetal,
    causes,
    causeBands,
    evidence: evidence.map(({ source, decibans, says }) => ({ source, decibans, says })),
    urgency,
  };
}

/** What would be believed of a site with some findings more; nothing is stored. Null: no such site. */
export async function readWhatIf(
  actor: Actor,
  siteId: string,
  { findings }: z.infer<typeof WhatIfBody>,
): Promise<WhatIfView | null> {
  authorise(actor, "site.what_if");
  const basis = await siteBasis(actor, siteId, Date.now());
  if (!basis) return null;
  const { site } = basis;
  const { records, diagnosis } = withFindings(basis, findings);
  return {
    before: believed(site.diagnosis, basis.urgencyOf(site)),
    after: believed(diagnosis, basis.urgencyOf({ ...site, records, diagnosis })),
  };
}

/** The tests that would change the belief most, each with where either outcome would lead. Null: no such site. */
export async function readNextTests(actor: Actor, siteId: string): Promise<NextTestsView | null> {
  authorise(actor, "sites.read");
  const basis = await siteBasis(actor, siteId, Date.now());
  if (!basis) return null;
  const { records, correlation, diagnosis } = basis.site;
  const best = nextTests({ records, correlation, asOf: basis.asOf }, basis.parameters);
  const after = (place: Pick<Finding, "check" | "sectionId" | "inverterId">, outcome: "fail" | "pass") =>
    withFindings(basis, [{ ...place, outcome, value: null, unit: null }]).diagnosis.bondingDefect;
  return {
    now: diagnosis.bondingDefect,
    tests: best
      .filter(({ bits }) => bits > 1e-6)
      .map(({ check, sectionId, inverterId, bits }) => {
        const place = { check, sectionId, inverterId };
        return { ...place, bits, ifFails: after(place, "fail"), ifPasses: after(place, "pass") };
      }),
  };
}
