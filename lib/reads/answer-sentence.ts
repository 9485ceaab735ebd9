import { BONDING_CAUSES, CAUSES, type Cause } from "../core/records.ts";
import type { SiteScore } from "./documents.ts";

/** Causes as a technician says them. */
export const CAUSE_WORDS: Record<Cause, string> = {
  open_section_bond: "an array section that is not bonded",
  high_resistance_bond: "a bond with too much resistance",
  isolated_electrode: "an electrode not bonded to the service",
  egc_undersized: "an undersized equipment grounding conductor",
  egc_broken: "a broken equipment grounding conductor",
  conductor_insulation: "damaged conductor insulation",
  connector_ingress: "water in a connector or box",
  module_insulation: "weak module insulation",
  surge_damage: "surge damage",
  detector_fault: "a fault detector that trips by itself",
};

/** The likeliest cause of a score. Ties go to the bonding family, which is listed first. */
export function leadingCause(score: SiteScore): { cause: Cause; p: number } {
  let cause: Cause = CAUSES[0];
  for (const c of CAUSES) if (score.causes[c] > score.causes[cause]) cause = c;
  return { cause, p: score.causes[cause] };
}

/** The likeliest cause of the bonding family. */
function leadingBond(score: SiteScore): Cause {
  return BONDING_CAUSES.reduce<Cause>(
    (best, c) => (score.causes[c] > score.causes[best] ? c : best),
    BONDING_CAUSES[0],
  );
}

/** Never 0 or 100 %: the model is never that sure. */
export const percent = (p: number) => (p >= 0.995 ? "over 99 %" : p < 0.005 ? "under 1 %" : `${Math.round(p * 100)} %`);
const WETTER: Record<string, string> = {
  rain: "in rain",
  dew: "in dew",
  any_wet: "when wet",
  thunder: "in thunderstorms",
};

/** The answer of a site in one or two sentences: how likely, what, and what the weather says. Never that it is free of hazard. */
export function answerSentence(score: SiteScore): string {
  const { p, low, high } = score.bonding_defect;
  const likely = p >= 0.75 ? "Probably" : p >= 0.4 ? "Possibly" : p >= 0.15 ? "Perhaps" : "No strong sign of";
  const head = `${likely} ${p >= 0.15 ? "" : "a bonding or grounding defect"}${p >= 0.15 ? CAUSE_WORDS[leadingBond(score)] : ""}: ${percent(p)} (${percent(low)} to ${percent(high)})`;
  return `${head}${weatherClause(score)}.${otherClause(score)}`;
}

function weatherClause({ weather }: SiteScore): string {
  if (weather.driver === "weather_unknown") return "; the weather is not known, so trips could not be set against it";
  if (weather.driver === "not_enough_data") return "; too few wet trips to tell whether water drives them";
  const when = WETTER[weather.driver];
  if (when && weather.rate_ratio !== null)
    return `; ground faults come ${weather.rate_ratio.toFixed(1)} times as often ${when}`;
  return weather.wet_episodes + weather.dry_episodes > 0 ? "; its ground faults do not follow water" : "";
}

function otherClause(score: SiteScore): string {
  const { cause, p } = leadingCause(score);
  if ((BONDING_CAUSES as readonly string[]).includes(cause) || p < 0.3) return "";
  return ` The likeliest cause of its trips is ${CAUSE_WORDS[cause]} (${percent(p)}).`;
}
