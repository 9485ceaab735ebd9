import type { Repair } from "../core/records.ts";
import type { SiteCorrelation } from "../correlate/site-correlation.ts";
import type { EventSummary } from "./event-summary.ts";
import type { Finding } from "./findings.ts";

const ATTRIBUTE_WORDS: Record<string, string> = {
  several_sections: "several array sections",
  bond_not_recorded: "no bond recorded between some sections",
  bond_recorded: "a bond recorded for every section",
  bond_method_none: "a section recorded without any bond",
  hardware_unlisted: "bonding hardware not listed for module and rail",
  hardware_unknown: "listing of the bonding hardware not known",
  hardware_listed: "listed bonding hardware",
  array_electrode_not_bonded: "an array electrode recorded as not bonded to the service",
  array_electrode_unknown: "an array electrode not known to be bonded",
  array_electrode_none_or_bonded: "no loose array electrode recorded",
  battery_separate_electrode: "a battery on an electrode of its own",
  near_coast: "near the coast",
};

const plural = (n: number, one: string, many = `${one}s`) => `${n} ${n === 1 ? one : many}`;

/** One sentence for each kind of evidence that a site has. */
export function evidenceSentences(
  attributes: ReadonlyMap<string, number>,
  summary: EventSummary,
  correlation: SiteCorrelation,
  repairs: readonly Repair[],
) {
  const s = summary.signature;
  return {
    prior: "How common such defects are taken to be before anything is known of the site.",
    attributes: attributesSentence(attributes),
    repairs: repairs.length > 0 ? repairsSentence(repairs) : null,
    events: eventsSentence(correlation),
    clearing: `${s.cleared} of ${plural(s.clearable, "wet episode")} whose end can be judged cleared as the array dried.`,
    several: `${s.several} of ${plural(s.severable, "episode")} tripped more than one inverter at once.`,
    late: `${s.late} of ${plural(s.afterRain, "episode")} within eight hours of rain began two hours or more after it, the rest in it.`,
    dawn: `${s.atDawn} of ${plural(s.dawnable, "episode")} began as the array woke.`,
  };
}

function attributesSentence(attributes: ReadonlyMap<string, number>): string {
  const words = [...attributes.keys()].flatMap((name) => ATTRIBUTE_WORDS[name] ?? []);
  const age = attributes.get("decade_of_age");
  if (age !== undefined) words.push(`${Math.round(age * 10)} years old`);
  return words.length > 0
    ? `The site as recorded: ${words.join("; ")}.`
    : "Nothing recorded of the site that speaks for or against a defect.";
}

function repairsSentence(repairs: readonly Repair[]): string {
  const parts = repairs.map((r) => {
    const tested =
      r.testedAfter === null || r.testedAfter === "none"
        ? "not tested after"
        : `${r.testedAfter === "both" ? "continuity and insulation" : r.testedAfter} tested after`;
    return `${r.cause.replaceAll("_", " ")} on ${r.repairedAt.day} (${r.confirmed === "yes" ? "found" : "not confirmed"}, ${tested})`;
  });
  return `Repaired: ${parts.join("; ")}.`;
}

function eventsSentence({ byState }: SiteCorrelation): string {
  const named = (["rain", "dew", "thunder", "hot", "wind", "dry"] as const)
    .filter((state) => byState[state].unitHours > 0)
    .map(
      (state) =>
        `${byState[state].episodes} in ${Math.round(byState[state].unitHours)} h ${state === "dry" || state === "hot" ? state : `of ${state}`}`,
    );
  return named.length > 0
    ? `Ground-fault onsets by unit-hours at risk: ${named.join(", ")}.`
    : "No hour at risk with known weather.";
}

const MOST_NAMED = 3;

/** The findings of one group in one sentence, newest kept when there are many. */
export function groupSentence(findings: readonly Finding[]): string {
  const shown = findings.slice(-MOST_NAMED).map((f) => f.says.replace(/\.$/, ""));
  const earlier = findings.length - shown.length;
  return `${shown.join("; ")}${earlier > 0 ? `; and ${plural(earlier, "earlier one")}` : ""}.`;
}
