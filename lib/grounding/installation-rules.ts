import type { AwgSize, ConductorMaterial, NecEdition } from "../core/records.ts";
import { type EditionNotLoaded, loadedEdition } from "./code-tables.ts";
import { compareConductorSizes, parseConductorSize } from "./conductor-size.ts";

/** What the code asks of a conductor besides its size. No record tells it, so somebody has to look. */
export interface InstallationRule {
  what: "protection" | "one_length" | "clear_of_earth" | "identification" | "raceway_ends";
  /** Rule number with its edition. */
  rule: string;
  /** What to look for; where size or material is not recorded it starts with the condition. */
  asks: string;
}

export interface InstalledConductor {
  role: "egc" | "gec";
  size: AwgSize | null;
  material: ConductorMaterial | null;
}

/** Thinner than this a conductor needs protection over its run. */
export const PROTECTED_BELOW: AwgSize = "6";
/** An EGC of this size or thicker may be marked green at its ends instead of being made green. */
export const REMARKED_FROM: AwgSize = "4";
/** Bare aluminum outdoors ends at least this far from earth, in. */
export const ALUMINUM_CLEAR_IN = 18;

/**
 * What to look for along a conductor by edition: protection of thin ones, a GEC in one length, aluminum clear of earth
 * and masonry, identification, and steel raceway bonded at both ends.
 *
 * @returns the rules that apply or may apply; what the records leave open is kept with its condition
 * @source NEC 250.64(A), (B), (C), (E)(1): copies and trade texts; 250.119, 250.120(C) from memory; 250.120(B) a copy
 */
export function installationRules(
  edition: string | null,
  conductor: InstalledConductor,
): InstallationRule[] | EditionNotLoaded {
  const loaded = loadedEdition(edition);
  if (typeof loaded !== "string") return loaded;
  const gec = conductor.role === "gec";
  return [
    ...protection(loaded, conductor),
    ...(gec ? wholeRun(loaded) : identification(loaded, conductor)),
    ...clearOfEarth(loaded, conductor),
  ];
}

const cite = (numbers: string, edition: NecEdition) => `NEC ${numbers} (${edition})`;

/** -1 thinner than the bound, 0 or 1 not; null where the size is not recorded or not made. */
function against(size: AwgSize | null, bound: AwgSize): number | null {
  const parsed = parseConductorSize(size);
  return parsed ? compareConductorSizes(parsed.size, bound) : null;
}

function protection(edition: NecEdition, { role, size }: InstalledConductor): InstallationRule[] {
  const step = against(size, PROTECTED_BELOW);
  if (step !== null && step >= 0) return [];
  const asks =
    role === "gec"
      ? "in raceway or cable armor over its whole run"
      : "in raceway or armor, but for hollow spaces of a building";
  const when = step === null ? `Where it is thinner than ${PROTECTED_BELOW} AWG: ` : "";
  const rule = cite(role === "gec" ? "250.64(B)" : "250.120(C)", edition);
  return [{ what: "protection", rule, asks: sentence(`${when}${asks}.`) }];
}

function wholeRun(edition: NecEdition): InstallationRule[] {
  return [
    {
      what: "one_length",
      rule: cite("250.64(C)", edition),
      asks: "One length without a joint, or joints that cannot be undone: listed compression or exothermic weld.",
    },
    {
      what: "raceway_ends",
      rule: cite("250.64(E)(1)", edition),
      asks: "A steel raceway around it is bonded to it at both ends.",
    },
  ];
}

function identification(edition: NecEdition, { size }: InstalledConductor): InstallationRule[] {
  const step = against(size, REMARKED_FROM);
  const made = "Bare, or with a green or green-and-yellow covering";
  const marked = "marked green at its ends and wherever it can be reached";
  const asks =
    step === null
      ? `${made}; where it is ${REMARKED_FROM} AWG or thicker, ${marked} will do.`
      : step >= 0
        ? `${made}, or ${marked}.`
        : `${made} as made; a mark put on later will not do.`;
  return [{ what: "identification", rule: cite("250.119", edition), asks }];
}

function clearOfEarth(edition: NecEdition, { role, material }: InstalledConductor): InstallationRule[] {
  if (material === "copper") return [];
  const when = material === null ? "Where it is aluminum: " : "";
  return [
    {
      what: "clear_of_earth",
      rule: cite(role === "gec" ? "250.64(A)" : "250.120(B)", edition),
      asks: sentence(
        `${when}bare aluminum touches neither earth nor masonry, and outdoors it ends at least ${ALUMINUM_CLEAR_IN} in from earth.`,
      ),
    },
  ];
}

const sentence = (text: string) => text.charAt(0).toUpperCase() + text.slice(1);
