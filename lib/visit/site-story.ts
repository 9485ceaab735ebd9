import { bandedText } from "../core/banded.ts";
import type { Check, Inspection } from "../core/records.ts";
import type { Driver } from "../correlate/site-correlation.ts";

export interface StoryInput {
  weather: {
    driver: Driver;
    rateRatio: number | null;
    low: number | null;
    high: number | null;
    /** Unit-hours at risk and onsets in them. */
    wetHours: number;
    wetEpisodes: number;
    dryHours: number;
    dryEpisodes: number;
  };
  bonding: { p: number; low: number; high: number };
  leadingCause: string;
  inspections: readonly Inspection[];
}

/** Checks that are only known by a meter. */
const MEASURED: readonly Check[] = [
  "section_potential",
  "bond_resistance",
  "egc_continuous",
  "insulation_resistance",
  "electrode_resistance",
];

const words = (name: string) => name.replaceAll("_", " ");
const count = (n: number, one: string) =>
  `${Math.round(n).toLocaleString("en-US")} ${one}${Math.round(n) === 1 ? "" : "s"}`;
const short = (value: number) => (value >= 10 ? Math.round(value).toString() : value.toFixed(1));

/**
 * A site in three lines for whoever stands at its gate: what happened when it was wet, what the diagnosis says with its
 * interval, what was last measured and what never was.
 */
export function siteStory({ weather, bonding, leadingCause, inspections }: StoryInput): [string, string, string] {
  return [whenWet(weather), diagnosis(bonding, leadingCause), measured(inspections)];
}

function whenWet({ driver, rateRatio, low, high, ...w }: StoryInput["weather"]): string {
  const wet = `${count(w.wetEpisodes, "ground fault")} in ${count(w.wetHours, "unit-hour")} wet`;
  const dry = `${count(w.dryEpisodes, "ground fault")} in ${count(w.dryHours, "unit-hour")} dry`;
  const seen = `When wet: ${wet}, ${dry}`;
  if (driver === "weather_unknown") return "When wet: not known, because the weather here is not.";
  if (driver === "not_enough_data") return `${seen}: not enough data to tell.`;
  if (rateRatio === null || low === null || high === null) return `${seen}.`;
  return `${seen}: ${short(rateRatio)} times the dry rate (95 % interval ${short(low)} to ${short(high)}).`;
}

function diagnosis(bonding: StoryInput["bonding"], leadingCause: string): string {
  return `Diagnosis: bonding or grounding defect ${bandedText(bonding)}; of all causes ${words(leadingCause)} leads.`;
}

function measured(inspections: readonly Inspection[]): string {
  const read = inspections.filter((row) => row.value !== null && MEASURED.includes(row.check));
  const last = read.reduce<Inspection | null>(
    (newest, row) => (newest === null || row.inspectedAt.at >= newest.inspectedAt.at ? row : newest),
    null,
  );
  const never = MEASURED.filter((check) => !read.some((row) => row.check === check)).map(words);
  const gap = never.length > 0 ? ` Never measured: ${never.join(", ")}.` : "";
  if (last === null) return `Last measured: nothing, ever.${gap}`;
  const place = last.sectionId ? `, section ${last.sectionId}` : last.inverterId ? `, inverter ${last.inverterId}` : "";
  const kind = last.quantity ? ` ${last.quantity === "dc" ? "DC" : "AC"}` : "";
  return `Last measured: ${words(last.check)} ${last.value} ${last.unit ?? ""}${kind}${place}, ${last.outcome}, ${last.inspectedAt.day}.${gap}`;
}
