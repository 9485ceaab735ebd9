import type {
  AwgSize,
  ConductorMaterial,
  Inspection,
  Instant,
  Inverter,
  Section,
  Site,
  SiteRecords,
} from "../core/records.ts";
import { parseConductorSize } from "./conductor-size.ts";
import { type ConductorCase, type ConductorVerdict, judgeConductor } from "./judge-conductor.ts";

/** One conductor of a site with its verdict. */
export interface JudgedConductor {
  sectionId: string | null;
  inverterId: string | null;
  role: ConductorCase["role"];
  /** The size that is judged; null: not recorded. */
  recorded: AwgSize | null;
  material: ConductorMaterial | null;
  verdict: ConductorVerdict;
  /** Whether the size is one read on site instead of the one in the site's records. */
  fromInspection: boolean;
}

/** The equipment grounding conductor of an inverter as a case to judge, with some size. */
export const inverterEgcCase = (inverter: Inverter, recorded: AwgSize | null): ConductorCase => ({
  role: "inverter_egc",
  recorded,
  material: inverter.egcMaterial,
  ocpdA: inverter.acOcpdA,
});

/** The equipment grounding conductor of a section as a case to judge, with some size. */
export const sectionEgcCase = (section: Section, recorded: AwgSize | null): ConductorCase => ({
  role: "section_egc",
  recorded,
  material: section.egcMaterial,
  ocpdA: section.ocpdA,
  moduleIscA: section.moduleIscA,
  parallelStrings: section.parallelStrings,
});

/** The grounding electrode conductor of a site as a case to judge, with some size. */
export const gecCase = (site: Site, recorded: AwgSize | null): ConductorCase => ({
  role: "gec",
  recorded,
  material: site.gecMaterial,
  serviceConductorAwg: site.serviceConductorAwg,
  electrode: site.electrode,
});

/** Latest size that somebody read off the conductor on site, of this section or inverter; null when nobody did. */
function sizeReadOnSite(
  inspections: Inspection[],
  asOf: Instant,
  sectionId: string | null,
  inverterId: string | null,
): AwgSize | null {
  let latest: Inspection | null = null;
  for (const item of inspections) {
    if (item.check !== "egc_size" || item.unit !== "awg" || item.inspectedAt.at > asOf) continue;
    if (item.sectionId !== sectionId || (sectionId === null && item.inverterId !== inverterId)) continue;
    if (item.outcome === "unable" || !parseConductorSize(item.value)) continue;
    if (!latest || item.inspectedAt.at >= latest.inspectedAt.at) latest = item;
  }
  return latest?.value ?? null;
}

/**
 * Judge every equipment grounding conductor and the grounding electrode conductor of a site.
 * A size read on site counts before the one on file. Records after `asOf` are not used.
 */
export function siteConductors(records: SiteRecords, asOf: Instant): JudgedConductor[] {
  const { site, inspections } = records;
  const judged: JudgedConductor[] = [];
  const add = (
    sectionId: string | null,
    inverterId: string | null,
    filed: AwgSize | null,
    build: (size: AwgSize | null) => ConductorCase,
  ) => {
    const read =
      sectionId === null && inverterId === null ? null : sizeReadOnSite(inspections, asOf, sectionId, inverterId);
    const conductor = build(read ?? filed);
    judged.push({
      sectionId,
      inverterId,
      role: conductor.role,
      recorded: conductor.recorded,
      material: conductor.material,
      verdict: judgeConductor(site.necEdition, conductor),
      fromInspection: read !== null,
    });
  };
  for (const inverter of records.inverters) {
    add(null, inverter.inverterId, inverter.egcAwg, (recorded) => inverterEgcCase(inverter, recorded));
  }
  for (const section of records.sections) {
    add(section.sectionId, section.inverterId, section.egcAwg, (recorded) => sectionEgcCase(section, recorded));
  }
  add(null, null, site.gecAwg, (recorded) => gecCase(site, recorded));
  return judged;
}
