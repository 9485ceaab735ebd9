import type { AwgSize, ConductorMaterial, Site } from "../core/records.ts";
import { type EditionNotLoaded, loadedEdition } from "./code-tables.ts";
import { compareConductorSizes, parseConductorSize, sayConductorSize, stepsBetween } from "./conductor-size.ts";
import { assumedDevice, minimumEgc, type NoRow, type RequiredSize } from "./egc-sizing.ts";
import { minimumGec } from "./gec-sizing.ts";

/** One conductor as recorded. Null: not recorded. */
export type ConductorCase =
  | { role: "inverter_egc"; recorded: AwgSize | null; material: ConductorMaterial | null; ocpdA: number | null }
  | {
      role: "section_egc";
      recorded: AwgSize | null;
      material: ConductorMaterial | null;
      ocpdA: number | "none" | null;
      moduleIscA: number | null;
      parallelStrings: number | null;
    }
  | {
      role: "gec";
      recorded: AwgSize | null;
      material: ConductorMaterial | null;
      serviceConductorAwg: AwgSize | null;
      electrode: Site["electrode"];
    };

export type ConductorVerdict =
  | { kind: "right"; required: AwgSize; recorded: AwgSize; rule: string; says: string }
  | {
      kind: "undersized";
      required: AwgSize;
      recorded: AwgSize;
      rule: string;
      /** Standard sizes too thin, at least 1. */
      stepsShort: number;
      says: string;
    }
  | { kind: "cannot_tell"; missing: string[]; says: string }
  | EditionNotLoaded;

const cannotTell = (missing: string[], says?: string): Extract<ConductorVerdict, { kind: "cannot_tell" }> => ({
  kind: "cannot_tell",
  missing,
  says: says ?? `Cannot be judged: ${missing.join(", ")} not recorded.`,
});

/**
 * Whether a recorded conductor is thick enough by the site's code edition.
 *
 * An unknown material or service-conductor material leaves a verdict standing where every possibility agrees.
 * Upsizing by 250.122(B) is not judged here: circuit conductor sizes are not part of the records.
 *
 * @param edition the site's NEC edition; null or one not loaded is refused by value
 * @throws RangeError when an ampere value is not above 0 or a string count is no whole number of at least 1
 */
export function judgeConductor(edition: string | null, conductor: ConductorCase): ConductorVerdict {
  const needs = requirements(edition, conductor);
  if (needs.kind === "edition_not_loaded") return needs;
  if (needs.kind === "missing") return cannotTell(needs.missing, needs.says);
  if (conductor.recorded === null) return cannotTell(["size"]);
  const recorded = parseConductorSize(conductor.recorded);
  if (!recorded) return cannotTell(["size"], `"${conductor.recorded}" is not a conductor size that is made.`);
  const verdicts = needs.required.map((need) => compareConductorSizes(recorded.size, need.size) >= 0);
  const thickest = thickestOf(needs.required);
  const thinnest = needs.required.reduce((a, b) => (compareConductorSizes(b.size, a.size) < 0 ? b : a));
  if (verdicts.every(Boolean)) {
    return {
      kind: "right",
      required: thickest.size,
      recorded: recorded.size,
      rule: thickest.rule,
      says: `${sayConductorSize(recorded.size)} is recorded; the minimum is ${sayConductorSize(thickest.size)}.`,
    };
  }
  if (verdicts.some(Boolean)) return cannotTell(needs.doubt);
  const stepsShort = stepsBetween(recorded.size, thinnest.size);
  return {
    kind: "undersized",
    required: thinnest.size,
    recorded: recorded.size,
    rule: thinnest.rule,
    stepsShort,
    says: `${sayConductorSize(recorded.size)} is recorded; the minimum is ${sayConductorSize(thinnest.size)}, ${stepsShort} standard size${stepsShort === 1 ? "" : "s"} thicker.`,
  };
}

/** The minimum size of a conductor, whatever is there now: the thickest of what the records leave open. */
export function requiredConductor(
  edition: string | null,
  conductor: ConductorCase,
): RequiredSize | Extract<ConductorVerdict, { kind: "cannot_tell" }> | EditionNotLoaded {
  const needs = requirements(edition, conductor);
  if (needs.kind === "edition_not_loaded") return needs;
  if (needs.kind === "missing") return cannotTell(needs.missing, needs.says);
  return thickestOf(needs.required);
}

const thickestOf = (required: readonly RequiredSize[]) =>
  required.reduce((a, b) => (compareConductorSizes(b.size, a.size) > 0 ? b : a));

type Needs =
  | { kind: "needs"; required: RequiredSize[]; doubt: string[] }
  | { kind: "missing"; missing: string[]; says?: string }
  | EditionNotLoaded;

/** The minimum under every material that the records leave open. */
function requirements(edition: string | null, conductor: ConductorCase): Needs {
  const loaded = loadedEdition(edition);
  if (typeof loaded !== "string") return loaded;
  const materials: ConductorMaterial[] = conductor.material ? [conductor.material] : ["copper", "aluminum"];
  if (conductor.role === "gec") return gecRequirements(edition, conductor, materials);
  const device = deviceOf(edition, conductor);
  if (device.kind !== "device") return device;
  const required = materials.map((material) => minimumEgc(edition, device.amperes, material));
  const withRule = (need: RequiredSize) => ({ ...need, rule: device.rule ? `250.122, ${device.rule}` : need.rule });
  return settle(required, withRule, ["material"]);
}

function settle(
  found: (RequiredSize | NoRow | EditionNotLoaded)[],
  withRule: (need: RequiredSize) => RequiredSize,
  doubt: string[],
): Needs {
  const required: RequiredSize[] = [];
  for (const need of found) {
    if (need.kind === "edition_not_loaded") return need;
    if (need.kind === "no_row") return { kind: "missing", missing: ["a table row"], says: need.says };
    required.push(withRule(need));
  }
  return { kind: "needs", required, doubt };
}

type Device =
  | { kind: "device"; amperes: number; rule: string | null }
  | { kind: "missing"; missing: string[] }
  | EditionNotLoaded;

function deviceOf(edition: string | null, conductor: Exclude<ConductorCase, { role: "gec" }>): Device {
  if (typeof conductor.ocpdA === "number") return { kind: "device", amperes: conductor.ocpdA, rule: null };
  if (conductor.role === "inverter_egc") return { kind: "missing", missing: ["rating of the overcurrent device"] };
  if (conductor.ocpdA === null)
    return { kind: "missing", missing: ["rating of the overcurrent device, or that there is none"] };
  const missing: string[] = [];
  if (conductor.moduleIscA === null) missing.push("module short-circuit current");
  if (conductor.parallelStrings === null) missing.push("parallel strings");
  if (conductor.moduleIscA === null || conductor.parallelStrings === null) return { kind: "missing", missing };
  const device = assumedDevice(edition, conductor.moduleIscA, conductor.parallelStrings);
  if (device.kind === "edition_not_loaded") return device;
  return { kind: "device", amperes: device.currentA, rule: device.rule };
}

function gecRequirements(
  edition: string | null,
  conductor: Extract<ConductorCase, { role: "gec" }>,
  materials: ConductorMaterial[],
): Needs {
  if (conductor.serviceConductorAwg === null) return { kind: "missing", missing: ["service conductor size"] };
  const service = parseConductorSize(conductor.serviceConductorAwg);
  if (!service) return { kind: "missing", missing: ["service conductor size"] };
  const unknownElectrode = conductor.electrode === null || conductor.electrode === "unknown";
  // An unknown electrode may be a rod, whose cap is the lowest; a ring's own size is not in the records.
  const electrodes: Site["electrode"][] = unknownElectrode ? ["rod", "building_steel"] : [conductor.electrode];
  const found: (RequiredSize | EditionNotLoaded)[] = [];
  for (const material of materials) {
    for (const serviceMaterial of ["copper", "aluminum"] as const) {
      for (const electrode of electrodes) {
        found.push(minimumGec(edition, { size: service.size, material: serviceMaterial }, material, electrode));
      }
    }
  }
  const doubt = ["material of the service conductors"];
  if (unknownElectrode) doubt.push("kind of electrode");
  if (materials.length > 1) doubt.push("material");
  return settle(found, (need) => need, doubt);
}
