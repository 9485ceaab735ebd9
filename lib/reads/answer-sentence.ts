import { bandedPercent } from "../core/banded.ts";
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

/** A cause's chance with its interval, in percent; a score from before intervals were kept gives no figure. */
export function causeChance(score: SiteScore, cause: Cause): string {
  const ends = score.cause_bands?.[cause];
  return ends ? bandedPercent({ p: score.causes[cause], ...ends }) : "interval not computed yet";
}

const WETTER: Record<string, string> = {
  rain: "in rain",
  dew: "in dew",
  any_wet: "when wet",
  thunder: "in thunderstorms",
};

/** A stretch of the answer; `of`: the figure in it, by the name of its working. */
export interface AnswerPart {
  text: string;
  of?: "bonding" | "rate-ratio" | `cause-${Cause}`;
}

/** The answer of a site in one or two sentences: how likely, what, and what the weather says. Never that it is free of hazard. */
export function answerParts(score: SiteScore): AnswerPart[] {
  const { p } = score.bonding_defect;
  const likely = p >= 0.75 ? "Probably" : p >= 0.4 ? "Possibly" : p >= 0.15 ? "Perhaps" : "No strong sign of";
  const what = p >= 0.15 ? CAUSE_WORDS[leadingBond(score)] : "a bonding or grounding defect";
  // The figure is of the whole family, not of the one cause that is named.
  const family = p >= 0.15 ? ", or another bonding or grounding defect" : "";
  return [
    { text: `${likely} ${what}${family}: ` },
    { text: bandedPercent(score.bonding_defect), of: "bonding" },
    ...weatherClause(score),
    { text: "." },
    ...otherClause(score),
  ];
}

/** The same as one text. */
export function answerSentence(score: SiteScore): string {
  return answerParts(score)
    .map(({ text }) => text)
    .join("");
}

function weatherClause({ weather }: SiteScore): AnswerPart[] {
  const { driver, rate_ratio: ratio, low, high } = weather;
  if (driver === "weather_unknown")
    return [{ text: "; the weather is not known, so trips could not be set against it" }];
  if (driver === "not_enough_data") return [{ text: "; too few wet trips to tell whether water drives them" }];
  const when = WETTER[driver];
  if (when && ratio !== null) {
    const ends = low === null ? "" : ` (${low.toFixed(1)} to ${high === null ? "no limit" : high.toFixed(1)})`;
    return [
      { text: "; ground faults come " },
      { text: `${ratio.toFixed(1)}${ends} times as often`, of: "rate-ratio" },
      { text: ` ${when}` },
    ];
  }
  return weather.wet_episodes + weather.dry_episodes > 0 ? [{ text: "; its ground faults do not follow water" }] : [];
}

function otherClause(score: SiteScore): AnswerPart[] {
  const { cause, p } = leadingCause(score);
  if ((BONDING_CAUSES as readonly string[]).includes(cause) || p < 0.3) return [];
  return [
    { text: ` The likeliest cause of its trips is ${CAUSE_WORDS[cause]}: ` },
    { text: causeChance(score, cause), of: `cause-${cause}` },
    { text: "." },
  ];
}
