import type { ReportSection, ReportTable } from "../report/report-document.ts";
import { CONTRACT_GOVERNS } from "./coverage-view.ts";
import type { EvidenceFacts } from "./evidence-facts.ts";

type At = (instant: number) => string;
const cols = (...heads: [string, number][]): ReportTable["columns"] => heads.map(([head, share]) => ({ head, share }));
const SHOWN = 60;

function section(heading: string, paragraphs: string[], table: ReportTable, empty: string): ReportSection {
  return table.rows.length === 0 ? { heading, paragraphs: [empty] } : { heading, paragraphs, table };
}

/**
 * What a carrier or warranty desk asks for, in the summary of an evidence file: records, and no judgement on what they
 * are worth. Conditions, completeness, amounts and the model's suspicion are the owner's own and stay on the owner's pages.
 */
export function claimSections(facts: EvidenceFacts, at: At): ReportSection[] {
  return [
    instruments(facts),
    photos(facts, at),
    discoveries(facts, at),
    notices(facts),
    custody(facts, at),
    papers(facts),
  ];
}

function instruments({ instruments: found }: EvidenceFacts): ReportSection {
  return section(
    "Instruments",
    ["As named in the inspections. A calibration certificate, where one is attached, is among the papers."],
    {
      columns: cols(["Serial number", 3], ["Calibrated on", 2], ["Readings", 1], ["First used", 2], ["Last used", 2]),
      rows: found.map((i) => [i.serial, i.calibratedOn ?? "not recorded", String(i.readings), i.firstUsed, i.lastUsed]),
    },
    "No inspection names an instrument.",
  );
}

const STATES = { as_sent: "as sent", missing: "bytes missing", altered: "bytes altered" };

function photos({ photos: found }: EvidenceFacts, at: At): ReportSection {
  const gone = found.filter((p) => p.state !== "as_sent").length;
  return section(
    "Photos of visits",
    [
      `${found.length} in all, the first ${Math.min(found.length, SHOWN)} here; photos.csv holds all with place and SHA-256 as taken on arrival.`,
      ...(gone > 0
        ? [`${gone} of them are not in the folder, because the bytes are missing or are not those that arrived.`]
        : []),
    ],
    {
      columns: cols(["File", 4], ["Taken", 4], ["Visit", 2], ["Checklist item", 4], ["State", 2]),
      rows: found
        .slice(0, SHOWN)
        .map((p) => [
          p.file ?? "none",
          p.taken_at === null ? "not told by the phone" : at(p.taken_at.getTime()),
          p.visit_id,
          itemWords(p.item),
          STATES[p.state],
        ]),
    },
    "No photo of a visit is on file.",
  );
}

/** A checklist item's key is JSON of check, section and inverter. */
function itemWords(item: string): string {
  try {
    const parts = JSON.parse(item) as unknown;
    if (Array.isArray(parts))
      return parts
        .filter((p) => p !== "")
        .join(", ")
        .replaceAll("_", " ");
  } catch {
    // Not such a key: as it stands.
  }
  return item;
}

function discoveries({ coverage }: EvidenceFacts, at: At): ReportSection {
  return section(
    "Discovery",
    ["Each entry took the time of its writing from the database and cannot be dated back."],
    {
      columns: cols(["Entered at", 4], ["By", 2], ["What", 4], ["Because", 4], ["Ended", 3]),
      rows: coverage.discoveries.map((d) => [
        at(Date.parse(d.at)),
        d.by,
        d.what,
        d.reason,
        d.ended ? `${d.ended.how} ${at(Date.parse(d.ended.at))} by ${d.ended.by}: ${d.ended.reason}` : "open",
      ]),
    },
    "No discovery is entered.",
  );
}

function notices({ coverage }: EvidenceFacts): ReportSection {
  return section(
    "Notices sent",
    ["Each with its paper in the folder; notices.csv names the file."],
    {
      columns: cols(["Contract", 3], ["What", 2], ["Sent on", 2], ["To", 4], ["By way of", 2]),
      rows: coverage.notices.map((n) => [
        n.coverageId,
        n.kind.replaceAll("_", " "),
        n.sentOn,
        n.sentTo,
        n.method.replaceAll("_", " "),
      ]),
    },
    "No notice is recorded as sent.",
  );
}

function custody({ coverage }: EvidenceFacts, at: At): ReportSection {
  const rows = coverage.parts.flatMap((p) => [
    [
      p.tag,
      p.what,
      `taken off ${at(Date.parse(p.removedAt))}`,
      p.removedBy,
      p.placeFound,
      p.documentId ? "photographed in place" : "no photo in place",
    ],
    ...p.transfers.map((t) => [
      p.tag,
      "handed over",
      at(Date.parse(t.handedAt)),
      `${t.from} to ${t.to}`,
      t.storedAt,
      `signed ${t.signedFrom} and ${t.signedTo}, ${t.sealed ? "sealed" : "not sealed"}`,
    ]),
  ]);
  return section(
    "Removed parts and their custody",
    ["Signatures are names as both wrote them."],
    { columns: cols(["Tag", 1.5], ["What", 3], ["When", 4], ["By", 3], ["Where", 3], ["How", 4]), rows },
    "No removed part is recorded.",
  );
}

function papers({ coverage, paperFiles }: EvidenceFacts): ReportSection {
  return section(
    "Papers",
    [CONTRACT_GOVERNS],
    {
      columns: cols(["File", 4], ["Attached as", 4], ["Kind", 2], ["Contract", 2], ["Page", 1]),
      rows: coverage.papers.map((p, i) => [
        paperFiles[i] ?? "",
        p.fileName,
        p.kind.replaceAll("_", " "),
        p.coverageId ?? "none",
        p.page === null ? "none" : String(p.page),
      ]),
    },
    "No paper is attached.",
  );
}
