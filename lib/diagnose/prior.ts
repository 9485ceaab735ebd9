import { CAUSES, type Cause, type Instant, type Repair, type SiteRecords } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import { CONFIGURATIONS, MEMBERS } from "./configurations.ts";
import { type ParameterValues, parameter } from "./parameters.ts";

const DECADE_MS = 10 * 365.25 * 86_400_000;

/** Attributes of a site that move the prior, with how strongly (1, or decades of age). */
export function siteAttributes({ site, sections }: SiteRecords, asOf: Instant): Map<string, number> {
  const out = new Map<string, number>();
  const holds = (name: string, condition: boolean, strength = 1) => {
    if (condition) out.set(name, strength);
  };
  const several = sections.length > 1;
  holds("several_sections", several);
  holds("bond_not_recorded", several && sections.some((s) => s.bondedTo === null));
  holds("bond_recorded", several && sections.every((s) => s.bondedTo !== null));
  holds(
    "bond_method_none",
    sections.some((s) => s.bondMethod === "none"),
  );
  holds(
    "hardware_unlisted",
    sections.some((s) => s.hardwareListed === "no"),
  );
  holds(
    "hardware_unknown",
    sections.length > 0 &&
      !sections.some((s) => s.hardwareListed === "no") &&
      sections.some((s) => s.hardwareListed !== "yes"),
  );
  holds("hardware_listed", sections.length > 0 && sections.every((s) => s.hardwareListed === "yes"));
  holds("array_electrode_not_bonded", site.separateArrayElectrode === "not_bonded");
  holds("array_electrode_unknown", site.separateArrayElectrode === "unknown");
  holds(
    "array_electrode_none_or_bonded",
    site.separateArrayElectrode === "none" || site.separateArrayElectrode === "bonded",
  );
  holds("battery_separate_electrode", site.battery === "separate_electrode");
  holds("near_coast", site.nearCoast === "yes");
  const began = site.commissionedOn === null ? null : Date.parse(site.commissionedOn);
  if (began !== null && began < asOf) out.set("decade_of_age", Math.min(4, (asOf - began) / DECADE_MS));
  return out;
}

const PRIOR_KEYS = CAUSES.map((cause) => `prior.${cause}`);
const attributeKeys = new Map<string, string[]>();
function keysOf(attribute: string): string[] {
  let keys = attributeKeys.get(attribute);
  if (!keys) {
    keys = CAUSES.map((cause) => `attribute.${attribute}.${cause}`);
    attributeKeys.set(attribute, keys);
  }
  return keys;
}

/** Log odds of each cause before any event, in the order of CAUSES: base rate alone. */
export function baseLogOdds(values: ParameterValues): Float64Array {
  return Float64Array.from(PRIOR_KEYS, (key) => logit(parameter(values, key)));
}

/** What the attributes add to each cause's log odds. */
export function attributeLogOdds(attributes: ReadonlyMap<string, number>, values: ParameterValues): Float64Array {
  const out = new Float64Array(CAUSES.length);
  for (const [name, strength] of attributes) {
    keysOf(name).forEach((key, c) => {
      const weight = values.get(key);
      if (weight !== undefined) out[c] = (out[c] as number) + weight * strength;
    });
  }
  return out;
}

/** What repairs up to the instant add: a cause found and mended is less likely still there, the more so when tested. */
export function repairLogOdds(repairs: readonly Repair[], values: ParameterValues, sections = 1): Float64Array {
  const out = new Float64Array(CAUSES.length);
  const latest = new Map<Cause, Repair>();
  for (const r of repairs) if (r.cause !== "none_found") latest.set(r.cause, r);
  for (const [cause, r] of latest) {
    // A repair at one of several sections says nothing of the others.
    const share = r.sectionId === null ? 1 : 1 / Math.max(1, sections);
    out[CAUSES.indexOf(cause)] = parameter(values, repairKey(r)) * share;
  }
  return out;
}

function repairKey(r: Repair): string {
  if (r.confirmed !== "yes") return "repair.unconfirmed";
  if (r.testedAfter === "both") return "repair.confirmed.both";
  return r.testedAfter === "continuity" || r.testedAfter === "insulation"
    ? "repair.confirmed.one"
    : "repair.confirmed.none";
}

/** Log prior of every configuration: causes are independent before anything is seen. */
export function configurationPrior(logOdds: Float64Array): Float64Array {
  let none = 0;
  for (let c = 0; c < logOdds.length; c++) none += Math.log(expit(-(logOdds[c] as number)));
  const out = new Float64Array(CONFIGURATIONS.length);
  for (let k = 0; k < out.length; k++) {
    let sum = none;
    // ln p - ln (1 - p) is the log odds.
    for (const c of MEMBERS[k] as readonly number[]) sum += logOdds[c] as number;
    out[k] = sum;
  }
  return out;
}
