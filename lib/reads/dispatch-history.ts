import "server-only";
import { authorise } from "../core/permissions.ts";
import { isoInZone, localDay } from "../core/zoned-time.ts";
import { dispatchRecord, type SentVisit } from "../dispatch/plans/dispatch-record.ts";
import type { Actor } from "../store/actor.ts";
import { defectsFound } from "../store/defects-found.ts";
import { readMayLag } from "../store/transaction.ts";
import { visitActivity } from "../store/visit-activity.ts";
import { type CrewDayRoute, type CrewStop, crewDaysInForce } from "./crew-days.ts";
import type { DispatchHistoryView } from "./dispatch-history-view.ts";
import { dayAfter } from "./load-plan.ts";

const HOUR_MS = 3_600_000;
/** How far back is looked. */
const DAYS = 366;
/** Lines of the list of single visits. */
const MOST_VISITS = 200;

/** What was sent out and what came of it, up to yesterday. */
export async function readDispatchHistory(actor: Actor, now = Date.now()): Promise<DispatchHistoryView> {
  authorise(actor, "plan.read");
  return readMayLag(actor, async (tx) => {
    const to = localDay(now - 24 * HOUR_MS, "UTC");
    const from = dayAfter(to, -DAYS);
    const days = await crewDaysInForce(tx, { from, to });
    const stops = days.flatMap((route) => route.stops.map((stop) => ({ route, stop })));
    const activity = await visitActivity(
      tx,
      stops.map(({ stop }) => stop.visit.visitId),
    );
    const found = await defectsFound(
      tx,
      stops.map(({ stop }) => ({
        ...{ visitId: stop.visit.visitId, siteId: stop.site.siteId },
        ...{ from: stop.start - 12 * HOUR_MS, to: stop.depart + 36 * HOUR_MS },
      })),
    );
    const lines = stops.map(({ route, stop }) => {
      const known = activity.get(stop.visit.visitId);
      const begun = known?.begunAt ?? null;
      const ended = known?.endedAt ?? null;
      const made = (known?.done ?? false) || ended !== null;
      const hours = made && begun !== null && ended !== null && ended > begun ? (ended - begun) / HOUR_MS : null;
      const sent: SentVisit = {
        ...{ crewId: route.crew.crewId, month: route.day.slice(0, 7), made, hours },
        plannedHours: (stop.depart - stop.start) / HOUR_MS,
        cost: costOf(route, stop, hours),
        found: made ? (found.get(stop.visit.visitId) ?? 0) : null,
        ...{ avoided: stop.visit.basis.avoided, expected: stop.visit.basis.expected },
      };
      return { route, stop, sent, begun };
    });
    const sent = lines.map((line) => line.sent);
    const crewName = new Map(days.map((route) => [route.crew.crewId, route.crew.name]));
    const [account] = await tx<
      { currency: string }[]
    >`SELECT currency FROM account WHERE account_id = current_account()`;
    const groups = (of: (visit: SentVisit) => string) => [...new Set(sent.map(of))].sort();
    return {
      ...{ from, to, currency: account?.currency ?? "USD", all: dispatchRecord(sent) },
      byCrew: groups((v) => v.crewId).map((crewId) => ({
        ...{ crewId, crewName: crewName.get(crewId) ?? crewId },
        record: dispatchRecord(sent.filter((v) => v.crewId === crewId)),
      })),
      byMonth: groups((v) => v.month).map((month) => ({
        month,
        record: dispatchRecord(sent.filter((v) => v.month === month)),
      })),
      visits: lines
        .reverse()
        .slice(0, MOST_VISITS)
        .map(({ route, stop, sent: one, begun }) => ({
          ...{ visitId: stop.visit.visitId, siteName: stop.site.name, crewName: route.crew.name, day: route.day },
          planned: clock(stop.start, route),
          made: one.made ? (begun === null ? "made, hours not written" : clock(begun, route)) : null,
          ...{ plannedHours: one.plannedHours, hours: one.hours, found: one.found },
          expected: one.expected?.found ?? null,
        })),
    };
  });
}

const clock = (at: number, route: CrewDayRoute) => isoInZone(at, route.crew.timeZone).slice(11, 16);

/** Hours and kilometres of a stop at its crew's rates, with its share of the way home; null without rates. */
function costOf(route: CrewDayRoute, stop: CrewStop, hours: number | null): number | null {
  const { hourlyCost, costPerKm } = route.crew;
  if (hourlyCost === null || costPerKm === null) return null;
  const last = route.stops.at(-1);
  const home = last && route.return !== null ? (route.return - last.depart) / HOUR_MS / route.stops.length : 0;
  const onSite = hours ?? (stop.depart - stop.start) / HOUR_MS;
  const km = stop.driveKm + route.returnKm / route.stops.length;
  return (onSite + stop.driveMinutes / 60 + home) * hourlyCost + km * costPerKm;
}
