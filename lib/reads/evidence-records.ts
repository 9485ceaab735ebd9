import { bandedPercent } from "../core/banded.ts";
import { readingIn, type Units } from "../core/units.ts";
import { localDay } from "../core/zoned-time.ts";
import type { ReportSection, ReportTable } from "../report/report-document.ts";
import { CAUSE_WORDS } from "./answer-sentence.ts";
import type { EvidenceFacts } from "./evidence-facts.ts";

const SHOWN_EPISODES = 60;
type At = (instant: number) => string;

const cols = (...heads: [string, number][]): ReportTable["columns"] => heads.map(([head, share]) => ({ head, share }));

/** The newest records of each kind as tables; the lists beside the summary hold all. */
export function recordSections(facts: EvidenceFacts, at: At, units: Units): ReportSection[] {
  return [episodes(facts, at), inspections(facts, at, units), repairs(facts), visits(facts, at), coverage(facts)];
}

function section(heading: string, says: string, table: ReportTable): ReportSection {
  return table.rows.length === 0
    ? { heading, paragraphs: ["None is recorded."] }
    : { heading, paragraphs: [says], table };
}

function episodes({ detail }: EvidenceFacts, at: At): ReportSection {
  const rows = detail.episodes.slice(-SHOWN_EPISODES).toReversed();
  return section(
    "Ground-fault episodes",
    `The newest ${rows.length} of ${detail.episodes.length}, in corrected time. Alarms less than three hours apart are one episode. faults.csv holds every alarm.`,
    {
      columns: cols(["Began", 4], ["Ended", 4], ["Inverters", 3], ["Weather", 1.5], ["Counted", 1.5]),
      rows: rows.map((e) => [
        at(e.onset),
        e.end === null ? "not known" : at(e.end),
        e.inverterIds.join(", "),
        e.state,
        e.atRisk ? "yes" : "no",
      ]),
    },
  );
}

function inspections({ inspections: found, site }: EvidenceFacts, at: At, units: Units): ReportSection {
  return section("Inspections and readings", `The newest ${found.length}; inspections.csv holds all.`, {
    columns: cols(
      ["When", 4],
      ["Check", 3],
      ["Where", 3],
      ["Outcome", 1.6],
      ["Reading", 2],
      ["Instrument, calibrated", 3],
    ),
    rows: found.map((i) => [
      i.inspectedDayOnly ? localDay(i.inspectedAt, site.timeZone) : at(i.inspectedAt),
      i.check,
      [i.sectionId, i.inverterId, i.pointA, i.pointB].filter((part) => part !== null).join(", "),
      i.outcome,
      i.value === null ? "none" : readingIn(units, i.value, i.unit),
      `${i.instrumentSerial ?? "not recorded"}, ${i.calibratedOn ?? "not recorded"}`,
    ]),
  });
}

function repairs({ repairs: found, detail, site }: EvidenceFacts): ReportSection {
  const watch = detail.fixes.map(
    (f) => `Repair of ${f.day} (${f.cause}): ${f.says} Still there: ${bandedPercent(f.stillThere)}.`,
  );
  return {
    ...section("Repairs", `The newest ${found.length}; repairs.csv holds all.`, {
      columns: cols(["When", 2], ["Cause", 4], ["Where", 2], ["Found for certain", 2], ["Tested after", 2]),
      rows: found.map((r) => [
        localDay(r.repairedAt, site.timeZone),
        r.cause === "none_found" ? "none found" : CAUSE_WORDS[r.cause],
        r.sectionId ?? r.inverterId ?? "not recorded",
        r.confirmed ?? "not recorded",
        r.testedAfter ?? "not recorded",
      ]),
    }),
    after: watch,
  };
}

function visits({ visits: found }: EvidenceFacts, at: At): ReportSection {
  const time = (instant: number | null) => (instant === null ? "not recorded" : at(instant));
  return section("Visits", `The newest ${found.length}; visits.csv holds all.`, {
    columns: cols(["Visit", 2], ["From", 4], ["To", 4], ["Crew", 2], ["Status", 1]),
    rows: found.map((v) => [
      v.visitId,
      time(v.promisedFrom),
      time(v.promisedTo),
      v.crewId ?? "not recorded",
      v.status ?? "not recorded",
    ]),
  });
}

function coverage({ contracts: found }: EvidenceFacts): ReportSection {
  return section(
    "Warranties and policies",
    `As recorded (${found.length}); coverage.csv holds all terms. The contract itself governs, and this is no legal advice.`,
    {
      columns: cols(["Number", 2], ["Kind", 2], ["Provider", 3], ["Starts", 2], ["Ends", 2], ["Notice, days", 2]),
      rows: found.map((c) => [
        c.policyNumber ?? c.coverageId,
        c.kind,
        c.provider ?? "not recorded",
        c.startsOn,
        c.endsOn,
        c.noticeDays === null ? "read the contract" : String(c.noticeDays),
      ]),
    },
  );
}
