import type { Inverter, Section, Site, SiteRecords } from "../core/records.ts";
import { link, node, type PathDraft } from "./path-draft.ts";
import { addPathPieces } from "./path-piece-links.ts";

/** The pieces of metal of a site and the links there should be among them, from its records alone. */
export function sitePathLinks(records: SiteRecords): PathDraft {
  const draft: PathDraft = {
    nodes: [node("ground_bus", "ground_bus", "Service ground bus")],
    links: [],
    runs: [],
    gaps: [],
    problems: [],
  };
  addElectrodes(draft, records.site);
  for (const inverter of records.inverters) addInverter(draft, inverter);
  const sectionIds = new Set(records.sections.map((section) => section.sectionId));
  const inverterIds = new Set(records.inverters.map((inverter) => inverter.inverterId));
  for (const section of records.sections) addSection(draft, section, sectionIds, inverterIds);
  addPathPieces(draft, records);
  if (records.sections.length === 0)
    draft.gaps.push({
      what: "sections",
      says: "No array sections are recorded, so the path from the frames is not known.",
    });
  return draft;
}

function addElectrodes(draft: PathDraft, site: Site): void {
  draft.nodes.push(node("electrode", "electrode", "Grounding electrode"));
  draft.links.push(link("gec", "ground_bus", "electrode", { recorded: site.gecAwg !== null }));
  const array = site.separateArrayElectrode;
  if (array === "bonded" || array === "not_bonded") {
    draft.nodes.push(node("array_electrode", "array_electrode", "Separate array electrode"));
    draft.links.push(
      link("array_electrode_bond", "array_electrode", "ground_bus", {
        recorded: array === "bonded",
        absent: array === "not_bonded",
      }),
    );
  } else if (array !== "none") {
    draft.gaps.push({
      what: "separate_array_electrode",
      says: "It is not recorded whether the array has an electrode of its own.",
    });
  }
  if (site.battery === "separate_electrode") {
    draft.nodes.push(node("battery", "battery", "Battery"));
    draft.nodes.push(node("battery_electrode", "battery_electrode", "Battery electrode"));
    draft.links.push(link("battery_gec", "battery", "battery_electrode", { recorded: true }));
    draft.links.push(link("battery_bond", "battery_electrode", "ground_bus", {}));
  } else if (site.battery === "common_electrode") {
    draft.nodes.push(node("battery", "battery", "Battery"));
    draft.links.push(link("battery_bond", "battery", "ground_bus", { recorded: true }));
  } else if (site.battery === "unknown" || site.battery === null) {
    draft.gaps.push({
      what: "battery",
      says: "It is not recorded whether there is a battery and what it is grounded to.",
    });
  }
}

function addInverter(draft: PathDraft, inverter: Inverter): void {
  const id = `inverter:${inverter.inverterId}`;
  draft.nodes.push(node(id, "inverter", `Inverter ${inverter.inverterId}`, null, inverter.inverterId));
  draft.links.push(
    link("inverter_egc", id, "ground_bus", { inverterId: inverter.inverterId, recorded: inverter.egcAwg !== null }),
  );
}

function addSection(draft: PathDraft, section: Section, sectionIds: Set<string>, inverterIds: Set<string>): void {
  const { sectionId, inverterId, bondedTo } = section;
  const id = `section:${sectionId}`;
  const place = { sectionId, inverterId };
  draft.nodes.push(node(id, "section", `Section ${sectionId}`, sectionId, inverterId));
  if (section.egcAwg !== null) {
    const known = inverterIds.has(inverterId);
    if (!known)
      draft.problems.push(`Section ${sectionId} names inverter ${inverterId}, which is not recorded at this site.`);
    draft.links.push(
      link("section_egc", id, known ? `inverter:${inverterId}` : "ground_bus", { ...place, recorded: known }),
    );
  }
  if (bondedTo === sectionId) {
    draft.problems.push(`Section ${sectionId} is recorded as bonded to itself.`);
  } else if (bondedTo !== null && bondedTo !== "bus" && !sectionIds.has(bondedTo)) {
    draft.problems.push(`Section ${sectionId} is recorded as bonded to ${bondedTo}, which is no section of this site.`);
  }
  const usable = bondedTo === "bus" || (bondedTo !== null && bondedTo !== sectionId && sectionIds.has(bondedTo));
  if (usable) {
    const to = bondedTo === "bus" ? "ground_bus" : `section:${bondedTo}`;
    // Two sections that name each other are joined by one jumper, not two.
    const named = draft.links.some((other) => other.kind === "section_bond" && other.from === to && other.to === id);
    if (!named) draft.links.push(link("section_bond", id, to, { ...place, recorded: true }));
  } else if (section.egcAwg === null) {
    draft.links.push(link("section_bond", id, "ground_bus", { ...place, absent: section.bondMethod === "none" }));
  }
  const metal = `metal:${sectionId}`;
  draft.nodes.push(node(metal, "other_metal", `Other metal at section ${sectionId}`, sectionId, inverterId));
  draft.links.push(link("other_metal_bond", metal, id, place));
}
