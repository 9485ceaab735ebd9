import { CAUSES, type Cause, type Instant, type Repair, type SiteRecords } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import { CONFIGURATIONS, EVERY_CONFIGURATION, MEMBERS } from "./configurations.ts";
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
/** What attributes add by table and cause: they are asked for every draw of every site. */
const weightsOfTables = new WeakMap<ParameterValues, Map<string, Float64Array>>();

function attributeWeights(attribute: string, values: ParameterValues): Float64Array {
  let ofTable = weightsOfTables.get(values);
  if (!ofTable) {
    ofTable = new Map();
    weightsOfTables.set(values, ofTable);
  }
  let weights = ofTable.get(attribute);
  if (!weights) {
    weights = Float64Array.from(CAUSES, (cause) => values.get(`attribute.${attribute}.${cause}`) ?? 0);
    ofTable.set(attribute, weights);
  }
  return weights;
}

/** Log odds of each cause before any event, in the order of CAUSES: base rate alone. */
export function baseLogOdds(values: ParameterValues): Float64Array {
  return Float64Array.from(PRIOR_KEYS, (key) => logit(parameter(values, key)));
}

/** What the attributes add to each cause's log odds. @param out room for the answer, which is returned */
export function attributeLogOdds(
  attributes: ReadonlyMap<string, number>,
  values: ParameterValues,
  out: Float64Array = new Float64Array(CAUSES.length),
): Float64Array {
  out.fill(0);
  for (const [name, strength] of attributes) {
    const weights = attributeWeights(name, values);
    for (let c = 0; c < out.length; c++) out[c] = (out[c] as number) + (weights[c] as number) * strength;
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

/**
 * Log prior of every configuration: causes are independent before anything is seen.
 * @param out room for the answer, which is returned
 */
export function configurationPrior(
  logOdds: Float64Array,
  only: Int32Array = EVERY_CONFIGURATION,
  out: Float64Array = new Float64Array(CONFIGURATIONS.length),
): Float64Array {
  let none = 0;
  for (let c = 0; c < logOdds.length; c++) none += Math.log(expit(-(logOdds[c] as number)));
  for (let i = 0; i < only.length; i++) {
    const k = only[i] as number;
    const members = MEMBERS[k] as readonly number[];
    let sum = none;
    // ln p - ln (1 - p) is the log odds.
    for (let m = 0; m < members.length; m++) sum += logOdds[members[m] as number] as number;
    out[k] = sum;
  }
  return out;
}
