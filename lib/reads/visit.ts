import "server-only";
import type { z } from "zod";
import { authorise } from "../core/permissions.ts";
import type { Site, SiteRecords } from "../core/records.ts";
import { pieceLabel } from "../grounding/path-piece-links.ts";
import type { Actor } from "../store/actor.ts";
import { noteSeen } from "../store/seen.ts";
import { siteRecords } from "../store/site-records.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { visitEdits, visitPhotos } from "../store/visit-log.ts";
import { openWetLooks } from "../store/wet-looks.ts";
import { siteStory } from "../visit/site-story.ts";
import type { VisitEdit } from "../visit/visit-edits.ts";
import { itemKey } from "../visit/visit-records.ts";
import { wetLook } from "../visit/wet-look.ts";
import { placeOfItem, strayItems, writtenItems } from "../visit/written-items.ts";
import { answerSentence, leadingCause } from "./answer-sentence.ts";
import { QueueVisit } from "./documents.ts";
import { isolatedSince } from "./make-safe.ts";
import { photoView } from "./photo-view.ts";
import { queuedVisits, queueHead } from "./queue.ts";
import { storedScores } from "./score.ts";
import type { VisitView, WorkedVisit } from "./visits-view.ts";

/**
 * One visit with what the technician needs at the gate and what was written at it so far: of the queue, or one that left
 * it and that somebody wrote at.
 * @returns null when it is neither
 */
export async function readVisit(actor: Actor, visitId: string): Promise<VisitView | null> {
  authorise(actor, "visits.read");
  const view = await visitView(actor, visitId);
  if (view) await noteSeen(actor, "visit.view", visitId);
  return view;
}

async function visitView(actor: Actor, visitId: string): Promise<VisitView | null> {
  return readTransaction(actor, async (tx) => {
    const queue = await queueHead(tx);
    const edits = await visitEdits(tx, { visitId });
    const [queued] = await queuedVisits(tx, [visitId]);
    const siteId = queued?.site_id ?? (edits.length > 0 ? await siteOfVisit(tx, visitId) : null);
    if (siteId === null) return null;
    const records = (await siteRecords(tx, [siteId], { logs: false })).get(siteId);
    const [score] = await storedScores(tx, siteId);
    if (!records || !score) return null;
    const { site } = records;
    const [row] = await tx<{ status: string }[]>`
      SELECT status FROM visit WHERE account_id = current_account() AND visit_id = ${visitId}`;
    return {
      asOf: queue.as_of ?? "",
      currency: queue.currency,
      visit: withWritten(queued ?? (await leftVisit(tx, visitId, siteId)), edits, site.necEdition),
      closed: row?.status === "done",
      story: siteStory({
        weather: {
          ...{ driver: score.weather.driver, rateRatio: score.weather.rate_ratio },
          ...{ low: score.weather.low, high: score.weather.high },
          ...{ wetHours: score.weather.wet_hours, wetEpisodes: score.weather.wet_episodes },
          ...{ dryHours: score.weather.dry_hours, dryEpisodes: score.weather.dry_episodes },
        },
        bonding: score.bonding_defect,
        leadingCause: leadingCause(score).cause,
        inspections: records.inspections,
      }),
      photos: (await visitPhotos(tx, { visitId })).map(photoView),
      isolatedSince: (await isolatedSince(tx, [siteId]))[siteId] ?? null,
      wetLook: queued ? await allowedLook(tx, queued, site) : null,
      gone: goneItems(edits, records),
      site: visitedSite(site),
      answer: answerSentence(score),
      pieces: (records.pathPieces ?? []).map((each) => ({ id: `piece:${each.pieceId}`, label: pieceLabel(each) })),
    };
  });
}

async function siteOfVisit(tx: Sql, visitId: string): Promise<string | null> {
  const [row] = await tx<{ site_id: string }[]>`
    SELECT site_id FROM visit_edit WHERE account_id = current_account() AND visit_id = ${visitId} LIMIT 1`;
  return row?.site_id ?? null;
}

async function allowedLook(tx: Sql, visit: QueueVisit, site: Site): Promise<VisitView["wetLook"]> {
  const look = (await openWetLooks(tx)).get(visit.visit_id);
  const part = look && visit.urgency !== "make_safe" ? wetLook(visit.checklist, site.mounting) : null;
  if (!look || !part) return null;
  return {
    ...{ allowedBy: look.allowedBy, allowedAt: new Date(look.allowedAt).toISOString(), reason: look.reason },
    ...{ lines: part.lines.map((line) => line.says), hoursOnSite: part.hoursOnSite },
  };
}

const KeptVisit = QueueVisit.omit({ rank: true });

/** A visit that left the queue, with what was asked of it, where that is kept. */
async function leftVisit(tx: Sql, visitId: string, siteId: string): Promise<WorkedVisit> {
  const [row] = await tx<{ visit: unknown }[]>`
    SELECT visit FROM visit_checklist WHERE account_id = current_account() AND visit_id = ${visitId}`;
  const nothing: z.infer<typeof KeptVisit> = {
    ...{ visit_id: visitId, site_id: siteId, urgency: "planned", hours_on_site: 0, skills: [], reasons: [] },
    ...{ expected_loss: null, expected_loss_avoided: null, visit_cost: null, checklist: [] },
  };
  return {
    ...{ ...(row ? KeptVisit.parse(row.visit) : nothing), rank: null },
    reasons: ["This visit is not in the queue any more. What was written at it is kept, and can be completed."],
  };
}

/** The list, and after it lines that somebody wrote at and that are not on it now. */
function withWritten(visit: WorkedVisit, edits: VisitEdit[], edition: Site["necEdition"]): WorkedVisit {
  const listed = new Set(visit.checklist.map((item) => itemKey(item.check, item.section_id, item.inverter_id)));
  const written = writtenItems(edits, listed, edition).map((line) => ({
    ...{ check: line.check, section_id: line.sectionId, inverter_id: line.inverterId, says: line.says },
    ...{ accept: line.accept, code_reference: line.codeReference, unit: line.unit, caution: line.caution },
  }));
  const done = new Set(written.map((line) => itemKey(line.check, line.section_id, line.inverter_id)));
  const open = (visit.still_open ?? []).filter(
    (line) => !done.has(itemKey(line.check, line.section_id, line.inverter_id)),
  );
  return { ...visit, checklist: [...visit.checklist, ...written], still_open: open };
}

function goneItems(edits: VisitEdit[], records: SiteRecords): string[] {
  const sections = new Set(records.sections.map((section) => section.sectionId));
  const inverters = new Set(records.inverters.map((inverter) => inverter.inverterId));
  return strayItems(edits, new Set()).filter((item) => {
    const place = placeOfItem(item);
    if (!place) return true;
    const { sectionId, inverterId } = place;
    return (sectionId !== null && !sections.has(sectionId)) || (inverterId !== null && !inverters.has(inverterId));
  });
}

/** What the technician needs of a site at the gate. */
export function visitedSite(site: Site): VisitView["site"] {
  const { siteId, name, portfolio, latitude, longitude, timeZone, dcKw, acKw, mounting, necEdition } = site;
  const { contactName, contactPhone, emergencyPhone, accessFrom, accessTo, accessNote, permitAuthority } = site;
  return {
    ...{ siteId, name, portfolio, latitude, longitude, timeZone, dcKw, acKw, mounting, necEdition },
    ...{ contactName, contactPhone, emergencyPhone, accessFrom, accessTo, accessNote, permitAuthority },
  };
}
