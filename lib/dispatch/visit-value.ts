import { CAUSES, type Cause } from "../core/records.ts";
import type { AnnualLoss } from "../coverage/expected-annual-loss.ts";
import type { OpenDeadline } from "../coverage/open-deadlines.ts";
import type { DispatchParameters } from "./dispatch-parameters.ts";
import { expectedFinds, type ScoredChances } from "./plans/expected-finds.ts";
import type { TripCost } from "./trip-cost.ts";

/** One visible term of a visit's value. */
export interface ValueTerm {
  term:
    | "people"
    | "property"
    | "energy"
    | "escalation"
    | "deadlines"
    | "finds"
    | "information"
    | "trip_labour"
    | "trip_distance";
  amount: number;
  /** A currency, or `defects`. */
  unit: string;
  /** Whether it is part of the sum, or only shown to explain it. */
  counted: boolean;
  says: string;
  /** What it comes to at both ends of the probabilities' bands, where that is told. */
  band?: { low: number; high: number };
}

export interface VisitValue {
  /** Loss expected over the horizon if nobody goes. */
  expectedLoss: number;
  /** What this visit is expected to spare of it, deadlines included. */
  expectedLossAvoided: number;
  visitCost: number;
  /** Avoided over cost. */
  ratio: number;
  terms: ValueTerm[];
}

/**
 * Value of measuring before deciding whether to repair: the best expected outcome after the test less the best
 * without it. Zero where every result leads to the same act.
 *
 * @param p probability of the cause
 * @param gain what repairing a present cause is worth, at least 0
 * @param waste what repairing an absent one costs, at least 0
 * @param sensitivity chance that the test shows a present cause
 * @param falseFinding chance that it shows an absent one
 * @returns at least 0, same unit as gain
 * @source expected value of sample information, two acts, binary test (standard decision analysis)
 */
export function informationValue(
  p: number,
  gain: number,
  waste: number,
  sensitivity: number,
  falseFinding: number,
): number {
  const repairing = (present: number, absent: number) => Math.max(0, present * gain - absent * waste);
  const shown = repairing(p * sensitivity, (1 - p) * falseFinding);
  const notShown = repairing(p * (1 - sensitivity), (1 - p) * (1 - falseFinding));
  return Math.max(0, shown + notShown - repairing(p, 1 - p));
}

/**
 * What going now is worth: loss avoided = P(found and fixed) x loss over the horizon, people and property first, then
 * energy and the growth of the repair, then recoveries that a deadline would end; against the cost of the trip.
 * The value of the information is shown and not added: it is already in what the visit finds. So is how many defects the
 * visit is expected to find and fix.
 */
export function visitValue(
  loss: AnnualLoss,
  deadlines: readonly OpenDeadline[],
  trip: TripCost,
  params: DispatchParameters,
  chances: ScoredChances,
): VisitValue {
  const years = params.horizonYears;
  const able = trip.lacking.length > 0 ? params.lackingSkillFactor : 1;
  const share = (cause: Cause) => params.findChance[cause] * params.fixChance * able * years;
  const avoided = (term: "people" | "property" | "energy" | "escalation") =>
    loss.byCause.reduce((total, entry) => total + entry[term] * share(entry.cause), 0);
  const due = deadlines.filter(
    (deadline) => deadline.daysLeft <= params.loss.deadlineHorizonDays && deadline.atRisk !== null,
  );
  const atDeadlines = due.reduce((total, deadline) => total + (deadline.atRisk as number), 0);
  const information = CAUSES.reduce((total, cause) => total + informationOf(cause, loss, params), 0);
  const finds = expectedFinds(chances, params.findChance);
  const fixed = params.fixChance * able;
  const who = trip.crewId === null ? "a crew" : `crew ${trip.crewId}`;
  const lacking = trip.lacking.length > 0 ? `, which lacks: ${trip.lacking.join(", ")}` : "";
  const unit = loss.currency;
  const term = (name: ValueTerm["term"], amount: number, says: string, counted = true): ValueTerm => ({
    term: name,
    amount,
    unit,
    counted,
    says,
  });
  const terms = [
    term("people", avoided("people"), "harm to people avoided"),
    term("property", avoided("property"), "severe property loss avoided"),
    term("energy", avoided("energy"), "energy kept"),
    term("escalation", avoided("escalation"), "growth of the repair avoided"),
    term(
      "deadlines",
      atDeadlines,
      `recoveries by warranties and policies whose notice ends within ${params.loss.deadlineHorizonDays} days`,
    ),
    {
      ...term(
        "finds",
        finds.found * fixed,
        `expected to be found and fixed by ${who}${lacking}; in the terms above`,
        false,
      ),
      ...{ unit: "defects", band: { low: finds.low * fixed, high: finds.high * fixed } },
    },
    term("information", information, "worth of measuring before repairing; already in the terms above", false),
    term("trip_labour", -trip.labour, `${trip.driveHours.toFixed(1)} h of driving and ${trip.hoursOnSite} h on site`),
    term("trip_distance", -trip.distance, `${Math.round(trip.driveKm)} km there and back`),
  ];
  const expectedLossAvoided = terms
    .filter((each) => each.counted && each.amount > 0)
    .reduce((total, each) => total + each.amount, 0);
  return {
    expectedLoss: loss.total * years + atDeadlines,
    expectedLossAvoided,
    visitCost: trip.total,
    ratio: trip.total > 0 ? expectedLossAvoided / trip.total : 0,
    terms,
  };
}

function informationOf(cause: Cause, loss: AnnualLoss, params: DispatchParameters): number {
  const entry = loss.byCause.find((each) => each.cause === cause);
  if (!entry || entry.probability <= 0) return 0;
  const gain = (entry.total / entry.probability) * params.fixChance * params.horizonYears;
  return informationValue(
    entry.probability,
    gain,
    params.loss.repairCost[cause],
    params.findChance[cause],
    params.falseFinding[cause],
  );
}
