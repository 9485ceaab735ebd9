import type {
  AwgSize,
  ConductorMaterial,
  Inspection,
  Instant,
  Inverter,
  PathBond,
  PathPiece,
  Section,
  Site,
  SiteRecords,
} from "../core/records.ts";
import { parseConductorSize } from "./conductor-size.ts";
import { type ConductorCase, type ConductorVerdict, judgeConductor } from "./judge-conductor.ts";
import { pieceLabel } from "./path-piece-links.ts";

/** One conductor of a site with its verdict. */
export interface JudgedConductor {
  sectionId: string | null;
  inverterId: string | null;
  role: ConductorCase["role"];
  /** What it is called where it was recorded by hand; null: its role and place say it. */
  name: string | null;
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
    name: string | null = null,
  ) => {
    const placed = name === null && (sectionId !== null || inverterId !== null);
    const read = placed ? sizeReadOnSite(inspections, asOf, sectionId, inverterId) : null;
    const conductor = build(read ?? filed);
    judged.push({
      sectionId,
      inverterId,
      role: conductor.role,
      name,
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
  for (const piece of records.pathPieces ?? []) {
    if (piece.awg === null) continue;
    const isElectrode = piece.kind === "electrode";
    const place = placeOfPiece(records, piece);
    add(
      place.sectionId,
      place.inverterId,
      piece.awg,
      (recorded) => handRecordedCase(records, { ...piece, ...place, recorded, isElectrode }),
      `Bond of ${pieceLabel(piece)}`,
    );
  }
  for (const bond of records.pathBonds ?? []) {
    if (bond.awg === null) continue;
    const place = placeOfBond(records, bond);
    add(
      place.sectionId,
      place.inverterId,
      bond.awg,
      (recorded) => handRecordedCase(records, { ...bond, ...place, recorded }),
      `Bond ${bond.bondId}`,
    );
  }
  return judged;
}

interface HandRecorded {
  sectionId: string | null;
  inverterId: string | null;
  material: ConductorMaterial | null;
  recorded: AwgSize | null;
  /** Between electrodes: sized as the grounding electrode conductor, without the cap of a rod. 250.53(C), from memory. */
  isElectrode: boolean;
}

/** A bond that was recorded by hand, sized by the device of the circuit that it belongs to. 250.102(D), from memory. */
function handRecordedCase({ site, sections, inverters }: SiteRecords, bond: HandRecorded): ConductorCase {
  const { sectionId, inverterId, material, recorded } = bond;
  if (bond.isElectrode) return { ...gecCase(site, recorded), material, electrode: "building_steel" } as ConductorCase;
  const section = sections.find((each) => each.sectionId === sectionId);
  if (section) return { ...sectionEgcCase(section, recorded), material };
  const inverter = inverters.find((each) => each.inverterId === inverterId);
  return { role: "inverter_egc", recorded, material, ocpdA: inverter?.acOcpdA ?? null };
}

/** Where a piece belongs: as recorded, else by the link that it stands in. */
function placeOfPiece({ sections, inverters }: SiteRecords, { sectionId, inverterId, standsIn }: PathPiece) {
  if (sectionId !== null || inverterId !== null || standsIn === null) return { sectionId, inverterId };
  return {
    sectionId: sections.find((each) => standsIn.includes(` section:${each.sectionId} `))?.sectionId ?? null,
    inverterId: inverters.find((each) => standsIn.includes(` inverter:${each.inverterId} `))?.inverterId ?? null,
  };
}

/** The section or inverter that a bond belongs to, and whether it joins electrodes. */
function placeOfBond({ pathPieces }: SiteRecords, { from, to }: PathBond) {
  const ends = [from, to];
  const pieces = ends.flatMap((end) => (pathPieces ?? []).find((piece) => end === `piece:${piece.pieceId}`) ?? []);
  const named = (kind: string) => ends.find((end) => end.startsWith(`${kind}:`))?.slice(kind.length + 1);
  return {
    sectionId: named("section") ?? pieces.find((piece) => piece.sectionId !== null)?.sectionId ?? null,
    inverterId: named("inverter") ?? pieces.find((piece) => piece.inverterId !== null)?.inverterId ?? null,
    isElectrode: ends.some((end) => /electrode$/.test(end)) || pieces.some((piece) => piece.kind === "electrode"),
  };
}
