import type { Instant, SiteRecords } from "../core/records.ts";
import { parseConductorSize, sayConductorSize } from "./conductor-size.ts";
import { installationRules } from "./installation-rules.ts";
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

/** Every conductor of a site with its verdict, in words. */
export function conductorLines(records: SiteRecords, asOf: Instant): ConductorLine[] {
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
        says:
          verdict.kind === "edition_not_loaded"
            ? "The site's code edition is not recorded, so no size is judged."
            : verdict.says,
      };
    },
  );
}
