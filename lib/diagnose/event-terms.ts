import type { SiteRecords } from "../core/records.ts";
import type { DiagnoseInput } from "./diagnose-input.ts";
import {
  ALL_STATES,
  countLikelihood,
  type EventRates,
  RAIN_STATES,
  type ShareOf,
  shareLikelihood,
  WATER_STATES,
} from "./event-likelihood.ts";
import type { EventSummary } from "./event-summary.ts";
import type { evidenceSentences } from "./evidence-sentences.ts";
import { type ParameterValues, parameter } from "./parameters.ts";

/** Onsets of one site come in runs: at least as the table says, more where its own log shows more. */
export function overdispersionOf(input: DiagnoseInput, values: ParameterValues): number {
  return overdispersionOver(input, parameter(values, "events.overdispersion"));
}

const overdispersionOver = ({ correlation }: DiagnoseInput, least: number) =>
  Math.max(least, Math.min(5, correlation.overdispersion));

/** One step that the events of a site make, whatever the table. */
export interface EventTerm {
  source: string;
  says: string;
  log: (values: ParameterValues, rates: EventRates, only: Int32Array, out?: Float64Array) => Float64Array;
}

export function eventTerms(
  input: DiagnoseInput,
  summary: EventSummary,
  says: ReturnType<typeof evidenceSentences>,
): EventTerm[] {
  if (input.correlation.window === null) return [];
  const s = summary.signature;
  const terms: EventTerm[] = [
    {
      source: "events",
      says: says.events,
      log: (values, rates, only, out) =>
        countLikelihood(
          summary,
          rates,
          {
            presentBefore: rates.presentBefore,
            overdispersion: overdispersionOver(input, rates.overdispersion),
            detector: detectorFactor(input.records, values),
          },
          only,
          out,
        ),
    },
  ];
  const share = (
    trials: number,
    step: Pick<EventTerm, "source" | "says">,
    kind: "clears" | "several" | "late" | "dawn",
    states: readonly number[],
    shareOf: ShareOf,
  ) => {
    if (trials > 0)
      terms.push({
        ...step,
        log: (_values, rates, only, out) => shareLikelihood(shareOf, kind, summary, rates, states, only, out),
      });
  };
  share(s.clearable, { source: "clearing", says: says.clearing }, "clears", WATER_STATES, (x) => ({
    hits: x.cleared,
    trials: x.clearable,
  }));
  share(s.severable, { source: "signature", says: says.several }, "several", ALL_STATES, (x) => ({
    hits: x.several,
    trials: x.severable,
  }));
  share(s.afterRain, { source: "lag", says: says.late }, "late", RAIN_STATES, (x) => ({
    hits: x.late,
    trials: x.afterRain,
  }));
  share(s.dawnable, { source: "dawn", says: says.dawn }, "dawn", ALL_STATES, (x) => ({
    hits: x.atDawn,
    trials: x.dawnable,
  }));
  return terms;
}

/**
 * A detector that misses some faults, or looks only at start, trips less for the same defect: the mean over the site's
 * inverters, as a cause may sit at any of them.
 */
export function detectorFactor({ inverters }: SiteRecords, values: ParameterValues): number {
  if (inverters.length === 0) return 1;
  let sum = 0;
  for (const { detector } of inverters) {
    if (detector === "fuse") sum += parameter(values, "detector.fuse");
    else if (detector === "insulation_check") sum += parameter(values, "detector.insulation_check");
    else sum += 1;
  }
  return sum / inverters.length;
}
