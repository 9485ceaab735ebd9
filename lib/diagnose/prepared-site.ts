import type { Repair } from "../core/records.ts";
import type { DiagnoseInput } from "./diagnose-input.ts";
import { causeRepairs, type EventSummary, eventSummary } from "./event-summary.ts";
import { type EventTerm, eventTerms } from "./event-terms.ts";
import { evidenceSentences } from "./evidence-sentences.ts";
import { type PlacedFinding, placedFindings, placesOf } from "./finding-likelihood.ts";
import { type Finding, findingsOf } from "./findings.ts";
import type { ParameterValues } from "./parameters.ts";
import { siteAttributes } from "./prior.ts";
import { type SharedShifts, sharedShifts } from "./shared-effect.ts";

/** What does not change from one table of parameters to the next. */
export interface Prepared {
  input: DiagnoseInput;
  attributes: Map<string, number>;
  summary: EventSummary;
  repairs: Repair[];
  events: EventTerm[];
  findings: Finding[];
  placed: PlacedFinding[];
  /** How many places a cause can sit at. */
  places: number;
  /** What confirmed visits of sites that share its installer or hardware add. */
  shared: SharedShifts | null;
  says: ReturnType<typeof evidenceSentences>;
}

export function prepare(input: DiagnoseInput, values: ParameterValues): Prepared {
  const { records, correlation, asOf } = input;
  const attributes = siteAttributes(records, asOf);
  const summary = eventSummary(records, correlation, asOf);
  const repairs = causeRepairs(records, asOf);
  const findings = findingsOf(records, asOf, correlation.readings);
  const says = evidenceSentences(attributes, summary, correlation, repairs);
  return {
    input,
    attributes,
    summary,
    repairs,
    says,
    events: eventTerms(input, summary, says),
    findings,
    placed: placedFindings(findings, records, asOf),
    places: placesOf(records).count,
    shared: sharedShifts(input.shared ?? [], values),
  };
}
