import type { Instant, SiteRecords } from "../core/records.ts";
import { codeReference } from "./code-reference.ts";
import { loadedEdition } from "./code-tables.ts";
import { compareConductorSizes, parseConductorSize, sayConductorSize } from "./conductor-size.ts";
import { type ArrayGroundConnection, arrayGroundConnection, minimumBondingJumper } from "./gec-sizing.ts";
import { installationRules } from "./installation-rules.ts";
import { ROD_CONTACT_FT } from "./limits.ts";
import { type JudgedConductor, siteConductors } from "./site-conductors.ts";

/** A conductor and what the code asks of it. */
export interface ConductorLine {
  name: string;
  recorded: string;
  required: string;
  verdict: "right" | "undersized" | "cannot_tell" | "edition_not_loaded";
  /** With its edition; empty where nothing could be judged. */
  rule: string;
  says: string;
}

/** One thing to look for, with the conductors that it is for. */
export interface InstallationLook {
  rule: string;
  asks: string;
  at: string[];
}

/** A size as recorded; one that is not made stands as written. */
export const sizeText = (awg: string) => {
  const size = parseConductorSize(awg);
  return size ? sayConductorSize(size.size) : `"${awg}"`;
};

const conductorName = (role: JudgedConductor["role"], sectionId: string | null, inverterId: string | null) =>
  role === "gec"
    ? "Grounding electrode conductor"
    : `EGC of ${sectionId !== null ? `section ${sectionId}` : `inverter ${inverterId}`}`;

/** The rules of installation, each once with the conductors that it is for. */
export function installationLooks(records: SiteRecords, asOf: Instant): InstallationLook[] {
  const looks = new Map<string, InstallationLook>();
  for (const { role, name, sectionId, inverterId, recorded, material } of siteConductors(records, asOf)) {
    const found = installationRules(records.site.necEdition, {
      role: role === "gec" ? "gec" : "egc",
      size: recorded,
      material,
    });
    for (const { rule, asks } of Array.isArray(found) ? found : []) {
      const look = looks.get(`${rule} ${asks}`) ?? { rule, asks, at: [] };
      look.at.push(name ?? conductorName(role, sectionId, inverterId));
      looks.set(`${rule} ${asks}`, look);
    }
  }
  return [...looks.values()];
}

/**
 * Every conductor of a site with its verdict, in words; last the bonding jumper at the service, whose size no record holds,
 * with its minimum where the service conductors are recorded.
 */
export function conductorLines(records: SiteRecords, asOf: Instant): ConductorLine[] {
  return [...judgedLines(records, asOf), serviceJumper(records)];
}

/** The minimum under every material that the service conductors may have. */
function serviceJumper({ site }: SiteRecords): ConductorLine {
  const line = { name: "Bonding jumper at the service", recorded: "not recorded", rule: "" };
  const service = parseConductorSize(site.serviceConductorAwg);
  const found = service
    ? (["copper", "aluminum"] as const).map((material) =>
        minimumBondingJumper(site.necEdition, { size: service.size, material }, "copper"),
      )
    : [];
  if (loadedEdition(site.necEdition) !== site.necEdition)
    return { ...line, required: "cannot be told", verdict: "edition_not_loaded", says: NO_EDITION };
  const sizes = found.flatMap((each) => (each.kind === "size" ? [each] : []));
  if (sizes.length === 0 || sizes.length < found.length)
    return {
      ...line,
      required: "cannot be told",
      verdict: "cannot_tell",
      says: service
        ? "Above the last row of the table it needs an engineered size."
        : "Cannot be judged: service conductor size not recorded.",
    };
  const most = sizes.reduce((a, b) => (compareConductorSizes(b.size, a.size) > 0 ? b : a));
  return {
    ...line,
    required: `${sayConductorSize(most.size)} copper`,
    verdict: "cannot_tell",
    rule: `NEC ${most.rule} (${site.necEdition}).`,
    says: "Cannot be judged: size not recorded.",
  };
}

const NO_EDITION = "The site's code edition is not recorded, so no size is judged.";

/** What the connection of each inverter's array to ground is by the edition: it decides how it is sized and spliced. */
export function arrayConnections({ site, inverters }: SiteRecords): string[] {
  return inverters.map(({ inverterId, dcGrounding }) => {
    const found = arrayGroundConnection(site.necEdition, dcGrounding);
    return `Array of inverter ${inverterId}: ${connectionText(found, site.necEdition)}`;
  });
}

function connectionText(found: ArrayGroundConnection, edition: string | null): string {
  if (found.kind === "edition_not_loaded") return NO_EDITION;
  if (found.kind === "cannot_tell") {
    const missing = found.missing.map((each) => each.replaceAll("_", " ")).join(", ");
    return `what its connection to ground is cannot be told: ${missing} not recorded.`;
  }
  return found.kind === "egc"
    ? `its connection to ground is an equipment grounding conductor, sized by the overcurrent device and free to be spliced (NEC ${found.rule}, ${edition}).`
    : `solidly grounded, so its connection is a grounding electrode conductor, in one length or irreversibly spliced (NEC ${found.rule}, ${edition}).`;
}

/** What is wrong with the electrode as recorded. Empty: nothing is known to be, which is no clearance. */
export function electrodeNotices({ site }: SiteRecords): string[] {
  const { electrode, electrodeLengthFt } = site;
  if (electrode !== "rod" || electrodeLengthFt === null || electrodeLengthFt >= ROD_CONTACT_FT.value) return [];
  return [
    `The rod is recorded as ${electrodeLengthFt} ft long: at least ${ROD_CONTACT_FT.value} ft have to be in contact with soil (${codeReference("electrode_depth", site.necEdition)}).`,
  ];
}

function judgedLines(records: SiteRecords, asOf: Instant): ConductorLine[] {
  return siteConductors(records, asOf).map(
    ({ role, name, sectionId, inverterId, verdict, recorded, fromInspection }) => {
      const size = recorded === null ? "not recorded" : sizeText(recorded);
      const sized = verdict.kind === "right" || verdict.kind === "undersized" ? verdict : null;
      return {
        name: name ?? conductorName(role, sectionId, inverterId),
        recorded: fromInspection ? `${size}, read on site` : size,
        required: sized ? sayConductorSize(sized.required) : "cannot be told",
        verdict: verdict.kind,
        rule: sized ? `NEC ${sized.rule} (${records.site.necEdition}).` : "",
        says: verdict.kind === "edition_not_loaded" ? NO_EDITION : verdict.says,
      };
    },
  );
}
