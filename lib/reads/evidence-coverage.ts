import "server-only";
import type { PartSource } from "../report/write-evidence.ts";
import { paperContent } from "../store/coverage-rows.ts";
import type { Sql } from "../store/transaction.ts";
import type { SiteCoverageView } from "./coverage-view.ts";
import type { EvidenceFacts } from "./evidence-facts.ts";
import { listPart } from "./evidence-list.ts";
import { type Instrument, paperFile } from "./evidence-papers.ts";

/** What stands behind a claim besides records and weather: lists, and the papers themselves one after the other. */
export function coverageParts(tx: Sql, coverage: SiteCoverageView, facts: EvidenceFacts): PartSource[] {
  const { site, papers } = coverage;
  const fileOf = new Map(papers.map((paper, i) => [paper.documentId, paperFile(paper, i)]));
  return [
    listPart(
      "discoveries.csv",
      [
        "discovery_id",
        "discovered_at",
        "site_day",
        "what",
        "reason",
        "by",
        "ended_how",
        "ended_at",
        "ended_by",
        "ended_reason",
      ],
      coverage.discoveries.map((d) => [
        ...[d.discoveryId, d.at, d.on, d.what, d.reason, d.by],
        ...[d.ended?.how ?? "", d.ended?.at ?? "", d.ended?.by ?? "", d.ended?.reason ?? ""],
      ]),
    ),
    listPart(
      "notices.csv",
      ["notice_id", "coverage_id", "discovery_id", "kind", "sent_on", "sent_to", "method", "file", "recorded_by"],
      coverage.notices.map((n) => [
        ...[n.noticeId, n.coverageId, n.discoveryId, n.kind, n.sentOn, n.sentTo, n.method],
        ...[fileOf.get(n.documentId) ?? "", n.recordedBy],
      ]),
    ),
    listPart(
      "custody.csv",
      ["tag", "what", "place_found", "photo_file", "removed_at", "removed_by", "held_by"],
      coverage.parts.map((p) => [
        ...[p.tag, p.what, p.placeFound, p.documentId ? (fileOf.get(p.documentId) ?? "") : ""],
        ...[p.removedAt, p.removedBy, p.heldBy],
      ]),
    ),
    listPart(
      "custody-handovers.csv",
      ["tag", "handed_at", "from", "to", "stored_at", "sealed", "signed_from", "signed_to"],
      coverage.parts.flatMap((p) =>
        p.transfers.map((t) => [
          ...[p.tag, t.handedAt, t.from, t.to, t.storedAt, t.sealed ? "yes" : "no", t.signedFrom, t.signedTo],
        ]),
      ),
    ),
    listPart("instruments.csv", INSTRUMENT_HEAD, instruments(facts.instruments)),
    listPart(
      "fix-watch.csv",
      [
        "repaired_on",
        "cause",
        "section_id",
        "inverter_id",
        "action",
        "state",
        "still_there",
        "still_there_low",
        "still_there_high",
        "says",
      ],
      facts.detail.fixes.map((f) => [
        ...[f.day, f.cause, f.sectionId ?? "", f.inverterId ?? "", f.action ?? "", f.state],
        ...[f.stillThere.p, f.stillThere.low, f.stillThere.high].map((p) => p.toFixed(4)),
        f.says,
      ]),
    ),
    listPart(
      "papers.csv",
      ["file", "coverage_id", "kind", "name_as_attached", "page", "note", "added_at", "added_by", "bytes", "sha256"],
      papers.map((p) => [
        ...[
          fileOf.get(p.documentId) ?? "",
          p.coverageId ?? "",
          p.kind,
          p.fileName,
          p.page === null ? "" : String(p.page),
        ],
        ...[p.note ?? "", p.addedAt, p.addedBy, String(p.bytes), p.sha256],
      ]),
    ),
    ...papers.map((p) => ({
      file: fileOf.get(p.documentId) ?? "",
      chunks: () => paperBytes(tx, site.siteId, p.documentId),
    })),
  ];
}

async function* paperBytes(tx: Sql, siteId: string, documentId: string): AsyncGenerator<Uint8Array> {
  const paper = await paperContent(tx, siteId, documentId);
  if (!paper) throw new RangeError(`paperBytes requires a paper of the snapshot, got ${documentId}`);
  yield paper.content;
}

const INSTRUMENT_HEAD = ["instrument_serial", "calibrated_on", "readings", "first_used", "last_used"];
const instruments = (found: readonly Instrument[]): string[][] =>
  found.map((i) => [i.serial, i.calibratedOn ?? "", String(i.readings), i.firstUsed, i.lastUsed]);
