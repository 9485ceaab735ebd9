import type { Check, Instant, SiteRecords } from "../core/records.ts";
import type { Gap } from "./diagnosis.ts";
import type { Finding } from "./findings.ts";

/** What nobody has looked at or recorded. A gap is never read as a pass. */
export function diagnosisGaps(records: SiteRecords, asOf: Instant): Gap[] {
  const past = records.inspections.filter((i) => i.inspectedAt.at <= asOf);
  const looked = past.filter((i) => i.outcome !== "unable");
  const gaps: Gap[] = [];
  if (past.length === 0)
    gaps.push({ what: "inspection", says: "Never inspected: no finding speaks for or against this site." });
  const unable = past.filter((i) => i.outcome === "unable").map((i) => i.check.replaceAll("_", " "));
  if (unable.length > 0)
    gaps.push({ what: "unable", says: `Could not be checked on site: ${[...new Set(unable)].join(", ")}.` });
  if (past.length > 0) gaps.push(...lacking(looked.map((i) => i.check)));
  gaps.push(...sectionGaps(records, looked));
  if (records.sections.length === 0)
    gaps.push({
      what: "sections",
      says: "No array section is recorded, so which metal is bonded to which is not known.",
    });
  if (records.site.necEdition === null)
    gaps.push({
      what: "nec_edition",
      says: "The code edition of the site is not recorded, so conductor sizes cannot be judged.",
    });
  if (records.site.access === null)
    gaps.push({ what: "access", says: "Who can touch the metal is not recorded; urgency counts it as public." });
  return gaps;
}

const EXPECTED: [Check, string][] = [
  ["section_potential", "No voltage between sections was ever measured."],
  ["bond_resistance", "No bond resistance was ever measured."],
  ["insulation_resistance", "No insulation resistance was ever measured."],
  ["electrode_bonded", "Nobody recorded whether all electrodes are bonded together."],
];

function lacking(checks: readonly Check[]): Gap[] {
  return EXPECTED.filter(([check]) => !checks.includes(check)).map(([check, says]) => ({ what: check, says }));
}

function sectionGaps({ sections }: SiteRecords, looked: SiteRecords["inspections"]): Gap[] {
  if (sections.length < 2) return [];
  const unseen = sections
    .filter(
      (s) =>
        s.bondedTo === null &&
        !looked.some(
          (i) =>
            i.sectionId === s.sectionId &&
            (i.check === "section_jumper" || i.check === "bond_resistance" || i.check === "all_metal_bonded"),
        ),
    )
    .map((s) => s.sectionId);
  if (unseen.length === 0) return [];
  const which =
    unseen.length <= 6 ? unseen.join(", ") : `${unseen.slice(0, 6).join(", ")} and ${unseen.length - 6} more`;
  return [{ what: "section_bonds", says: `How these sections are bonded is neither recorded nor measured: ${which}.` }];
}

/** What a reader should know of the evidence. */
export function diagnosisNotes(findings: readonly Finding[]): string[] {
  const notes: string[] = [];
  const doubtful = findings.filter((f) => f.weigh.kind === "reading" && f.weigh.doubtful).length;
  if (doubtful > 0)
    notes.push(
      `${doubtful} resistance reading${doubtful === 1 ? "" : "s"} without a voltage reading first at the same points: doubtful, weighed less, never a pass alone.`,
    );
  const twoLead = findings.filter(
    (f) => f.weigh.kind === "reading" && f.weigh.twoLead && f.weigh.reading === "bond_resistance",
  ).length;
  if (twoLead > 0)
    notes.push(`${twoLead} bond reading${twoLead === 1 ? "" : "s"} by two leads, which cannot judge 0.1 ohm.`);
  return notes;
}
