import { sentenceIn, type Units } from "../core/units.ts";
import { isoInZone } from "../core/zoned-time.ts";
import { BEFORE_WORK, CAUTIONS } from "../grounding/cautions.ts";
import type { VisitSheet } from "../report/visit-sheet.ts";
import { openByCheck, STILL_OPEN_SAYS } from "../visit/still-open.ts";
import type { ChecklistItem } from "./documents.ts";
import { blankCheck, SheetCautions, toolsOf } from "./sheet-checks.ts";
import type { VisitView } from "./visits-view.ts";

const orUnknown = (value: string | number | null) => (value === null || value === "" ? "not recorded" : String(value));

/** Label and value of what a technician needs to know of a site before anything else. */
export function siteFacts(site: VisitView["site"]): VisitSheet["facts"] {
  const hours = site.accessFrom && site.accessTo ? `${site.accessFrom} to ${site.accessTo}` : "hours not recorded";
  return [
    ["Site", `${site.siteId}, ${site.portfolio}, ${site.latitude.toFixed(4)}, ${site.longitude.toFixed(4)}`],
    ["System", `${site.dcKw} kW DC, ${site.acKw} kW AC, ${orUnknown(site.mounting)}`],
    ["Contact", `${orUnknown(site.contactName)}, ${orUnknown(site.contactPhone)}`],
    ["Emergency", orUnknown(site.emergencyPhone)],
    ["Access", [`${hours} (${site.timeZone})`, site.accessNote ?? ""].filter(Boolean).join(", ")],
    ["Code edition", codeEdition(site.necEdition)],
    ["Authority", orUnknown(site.permitAuthority)],
  ];
}

export const codeEdition = (edition: string | null) =>
  edition === null ? "not recorded: the edition in force at the local authority" : `NEC ${edition}`;

/** The foot of every page of a visit's paper. */
export const sheetFooter = (site: VisitView["site"], visitId: string) =>
  `${site.siteId}, ${visitId}, code edition ${site.necEdition === null ? "not recorded" : `NEC ${site.necEdition}`}`;

/** What a large site's visit leaves for the next, by check. */
function stillOpenPart(open: NonNullable<VisitView["visit"]["still_open"]>): VisitSheet["cover"] {
  if (open.length === 0) return [];
  const lines = openByCheck(open).map(({ title, places }) => `${title}: ${places.join(", ")}.`);
  return [{ heading: `Still open after this visit (${open.length})`, paragraphs: [STILL_OPEN_SAYS, ...lines] }];
}

/** The checklist of a queued visit, to be filled in by hand. */
export function checklistSheet(view: VisitView, madeAt: number, units: Units): VisitSheet {
  const { visit, site } = view;
  const cautions = new SheetCautions();
  const checks = visit.checklist.map((item: ChecklistItem) => blankCheck(item, cautions, units));
  return {
    title: "Grounding checklist",
    subtitle: site.name,
    madeAt,
    footer: sheetFooter(site, visit.visit_id),
    facts: [
      ["Visit", `${visit.visit_id}, ${visit.urgency.replaceAll("_", " ")}, ${visit.rank} in the queue`],
      ["Takes", `about ${visit.hours_on_site} h on site; ${visit.skills.join(", ") || "no particular skill"}`],
      ...siteFacts(site),
      ["Records used up to", view.asOf === "" ? "not known" : isoInZone(Date.parse(view.asOf), site.timeZone)],
      ["Checks", String(checks.length)],
    ],
    cover: [
      { heading: "Why", paragraphs: [view.answer, ...visit.reasons].map((says) => sentenceIn(units, says)) },
      ...stillOpenPart(visit.still_open ?? []),
      { heading: "Before anything is touched", paragraphs: BEFORE_WORK.map((id) => CAUTIONS[id]) },
      { heading: "Tools", paragraphs: [toolsOf(visit.checklist).join(", ") || "None."] },
    ],
    ...cautions.lists(),
    checks,
    signatures: [],
    photos: [],
  };
}
