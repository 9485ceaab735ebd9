import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { safeCsv } from "../core/safe-csv.ts";
import { isoInZone } from "../core/zoned-time.ts";
import { crewDayKey } from "../dispatch/plans/plan-holds.ts";
import { type DaySheetStop, daySheetReport } from "../report/day-sheet-report.ts";
import { drawReport } from "../report/draw-report.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction } from "../store/transaction.ts";
import { WET_LOOK_RULES, wetLook } from "../visit/wet-look.ts";
import type { QueueVisit } from "./documents.ts";
import { loadPlan } from "./load-plan.ts";
import { queuedVisits } from "./queue.ts";
import { readerUnits } from "./reader-units.ts";

export const DaySheetQuery = z.object({ crew: z.string().min(1), day: z.iso.date("a date YYYY-MM-DD") });

/** What is asked at a stop: of one planned for the wet only what is looked at then. */
const linesOf = <L extends QueueVisit["checklist"][number]>(
  wet: string | undefined,
  lines: L[],
  mounting: string | null,
) => (wet ? (wetLook(lines, mounting)?.lines ?? []) : lines);

const WORDS = { make_safe: "MAKE SAFE", urgent: "urgent", planned: "planned" } as const;

/** A crew's day of a plan as PDF. @throws AppError `not_found` */
export async function daySheetPdf(
  actor: Actor,
  planId: string,
  { crew: crewId, day }: z.infer<typeof DaySheetQuery>,
  now = Date.now(),
): Promise<Response> {
  authorise(actor, "plan.read");
  const sheet = await readTransaction(actor, async (tx) => {
    const { plan, held } = await loadPlan(tx, planId);
    const name = { crewId, day };
    const stored = plan.crewDays.find((d) => crewDayKey(d) === crewDayKey(name));
    const crew = held.input.crews.find((each) => each.crewId === crewId);
    if (!stored || !crew) throw new AppError("not_found", { message: `${crewId} on ${day} is not in this plan.` });
    const clock = (at: number) => isoInZone(at, crew.timeZone).slice(11, 16);
    const ofDay = plan.visits
      .filter((v) => v.stop && crewDayKey(v.stop) === crewDayKey(name))
      .sort((a, b) => (a.stop?.position ?? 0) - (b.stop?.position ?? 0));
    const asked = await queuedVisits(
      tx,
      ofDay.map((v) => v.visitId),
    );
    const queued = new Map(asked.map((visit) => [visit.visit_id, visit]));
    const stops = ofDay.flatMap((v): DaySheetStop[] => {
      const index = held.visitOf.get(v.visitId);
      const site = index === undefined ? null : held.input.visits[index]?.site;
      if (!site || !v.stop) return [];
      const { arrive, start, depart, driveKm, driveMinutes } = v.stop;
      const visit = queued.get(v.visitId);
      const contact = [site.contactName, site.contactPhone].filter(Boolean).join(", ");
      const hours =
        site.accessFrom || site.accessTo ? `${site.accessFrom ?? "any time"} to ${site.accessTo ?? "any time"}` : null;
      return [
        {
          ...{ arrive: clock(arrive), start: clock(start), depart: clock(depart), driveKm, driveMinutes },
          ...{ siteName: site.name, siteId: site.siteId, visitId: v.visitId, urgency: WORDS[v.basis.urgency] },
          ...{ promised: v.promised, hoursOnSite: v.basis.hoursOnSite, needs: v.basis.skills },
          ...{ latitude: site.latitude, longitude: site.longitude, contact: contact || null },
          ...{ emergency: site.emergencyPhone, access: [hours, site.accessNote].filter(Boolean).join(". ") || null },
          ...(v.basis.inTheWet ? { wetLook: WET_LOOK_RULES } : {}),
          reasons: visit?.reasons ?? ["This visit is no longer in the queue: ask before you go."],
          checks: linesOf(v.basis.inTheWet, visit?.checklist ?? [], site.mounting).map(({ says, accept, caution }) => ({
            says,
            accept,
            caution,
          })),
        },
      ];
    });
    const states = {
      draft: "a draft, not sent to anybody",
      confirmed: "confirmed",
      superseded: "replaced by a later plan",
    };
    return {
      ...{ crewName: crew.name, day, timeZone: crew.timeZone, stops, madeAt: now, state: states[plan.state] },
      leave: stored.leave === null ? null : clock(stored.leave),
      return: stored.return === null ? null : clock(stored.return),
      units: await readerUnits(tx, actor),
      km: (stored.returnKm ?? 0) + stops.reduce((sum, stop) => sum + stop.driveKm, 0),
    };
  });
  const bytes = await drawReport(daySheetReport(sheet));
  return file(bytes, "application/pdf", `day-sheet-${crewId}-${day}.pdf`);
}

const CSV_COLUMNS = [
  ...["date", "crew_id", "crew", "stop", "visit_id", "site_id", "site", "urgency", "arrive", "start", "depart"],
  ...["drive_km", "drive_minutes", "promised", "pinned_by", "not_visited_because"],
];

/** A plan as a table for a spreadsheet: its stops, then who is left out and why. @throws AppError `not_found` */
export async function planCsv(actor: Actor, planId: string): Promise<Response> {
  authorise(actor, "plan.read");
  const text = await readTransaction(actor, async (tx) => {
    const { plan, held } = await loadPlan(tx, planId);
    const crews = new Map(held.input.crews.map((crew) => [crew.crewId, crew]));
    const rows = plan.visits.map((v) => {
      const index = held.visitOf.get(v.visitId);
      const site = index === undefined ? "" : (held.input.visits[index]?.site.name ?? "");
      const crew = v.stop ? crews.get(v.stop.crewId) : undefined;
      const time = (at: number | undefined) => (at === undefined || !crew ? "" : isoInZone(at, crew.timeZone));
      return [
        ...[v.stop?.day ?? "", v.stop?.crewId ?? "", crew?.name ?? "", v.stop ? String(v.stop.position + 1) : ""],
        ...[
          v.visitId,
          v.siteId,
          site,
          v.basis.urgency,
          time(v.stop?.arrive),
          time(v.stop?.start),
          time(v.stop?.depart),
        ],
        ...[v.stop ? v.stop.driveKm.toFixed(1) : "", v.stop ? v.stop.driveMinutes.toFixed(0) : ""],
        ...[v.stop && v.promised ? "yes" : "", v.stop ? (v.pinnedBy ?? "") : "", v.why ?? ""],
      ];
    });
    rows.sort((a, b) => (a[0] === "" ? 1 : b[0] === "" ? -1 : 0));
    return safeCsv(CSV_COLUMNS, rows);
  });
  return file(new TextEncoder().encode(text), "text/csv; charset=utf-8", `${planId}.csv`);
}

function file(bytes: Uint8Array, type: string, name: string): Response {
  const safe = name.replace(/[^\w.-]/g, "_");
  const headers = {
    "content-type": type,
    "content-disposition": `attachment; filename="${safe}"`,
    "cache-control": "no-store",
  };
  return new Response(bytes as BodyInit, { headers });
}
