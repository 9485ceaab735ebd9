import "server-only";
import { authorise } from "../core/permissions.ts";
import { localDay, wallMs } from "../core/zoned-time.ts";
import { brokenPlanRules } from "../dispatch/plans/consequence.ts";
import { drivenDay } from "../dispatch/plans/driven-day.ts";
import type { HeldPlan } from "../dispatch/plans/held-plan.ts";
import { crewDayKey, worksOn } from "../dispatch/plans/plan-holds.ts";
import type { StoredPlanDay } from "../dispatch/plans/stored-plan.ts";
import { gapOf } from "../dispatch/routes/prove-routes.ts";
import type { PlannedStop } from "../dispatch/routes/walk-route.ts";
import { roofRefusal } from "../dispatch/routes/working-windows.ts";
import type { Actor } from "../store/actor.ts";
import { planChanges, planHeads, plansInForce } from "../store/plans.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { sunElevationDeg } from "../weather/sun-position.ts";
import { dayAfter, type LoadedPlan, loadPlan } from "./load-plan.ts";
import { roofWithoutForecast } from "./plan.ts";
import type { BoardDay, BoardStop, PlanBoardView, PlanListItem } from "./plan-board-view.ts";
import { planMap } from "./plan-map.ts";

const MINUTE_MS = 60_000;
const HOUR_MS = 3_600_000;
const DAY_MS = 86_400_000;
/** Sun's upper limb at the horizon, the usual refraction allowed for. */
const SUNRISE_DEG = -0.833;

/** Plans, newest first. */
export async function readPlans(actor: Actor): Promise<PlanListItem[]> {
  authorise(actor, "plan.read");
  const heads = await readTransaction(actor, (tx) => planHeads(tx, 30));
  return heads.map((h) => ({
    ...{ planId: h.planId, from: h.from, days: h.days, state: h.state, objective: h.objective, madeBy: h.madeBy },
    ...{
      madeAt: new Date(h.madeAt).toISOString(),
      confirmedAt: h.confirmedAt === null ? null : new Date(h.confirmedAt).toISOString(),
    },
  }));
}

/** A plan as the dispatcher sees it. @throws AppError `not_found` */
export async function readPlanBoard(actor: Actor, planId: string, now = Date.now()): Promise<PlanBoardView> {
  authorise(actor, "plan.read");
  return readTransaction(actor, async (tx) => {
    const loaded = await loadPlan(tx, planId);
    const { plan, held, routes } = loaded;
    const names = await siteNames(tx, loaded);
    const crewDays = boardDays(loaded, names);
    const [account] = await tx<
      { currency: string }[]
    >`SELECT currency FROM account WHERE account_id = current_account()`;
    const inForce = new Map(
      (await plansInForce(tx, plan.from, dayAfter(plan.from, plan.days - 1))).map((d) => [crewDayKey(d), d.planId]),
    );
    const crewName = new Map(held.input.crews.map((crew) => [crew.crewId, crew.name]));
    const unserved = plan.visits.filter((v) => v.stop === null);
    const iso = (at: number | null) => (at === null ? null : new Date(at).toISOString());
    return {
      ...{
        planId,
        from: plan.from,
        days: plan.days,
        state: plan.state,
        revision: plan.revision,
        objective: plan.objective,
      },
      gap: gapOf(plan.objective, plan.bound),
      ...{ notes: plan.notes, madeBy: plan.madeBy, madeAt: new Date(plan.madeAt).toISOString(), basedOn: plan.basedOn },
      ...{ confirmedBy: plan.confirmedBy, confirmedAt: iso(plan.confirmedAt), replanFrom: iso(plan.replanFrom) },
      currency: account?.currency ?? "USD",
      crewDays,
      unserved: unserved.map((v) => ({
        ...{
          visitId: v.visitId,
          siteId: v.siteId,
          siteName: names.get(v.siteId) ?? v.siteId,
          urgency: v.basis.urgency,
        },
        ...{ avoided: v.basis.avoided, code: v.code ?? "not_enough_hours", why: v.why ?? "" },
      })),
      broken: plan.state === "superseded" ? [] : brokenPlanRules(held, routes),
      withoutForecast: roofWithoutForecast(held.input, Date.parse(plan.from)).length,
      idle: idleDays(held, crewName),
      goingOn: plan.crewDays
        .filter((d) => {
          const zone = held.input.crews.find((crew) => crew.crewId === d.crewId)?.timeZone;
          return zone && localDay(now, zone) === d.day && d.closedBy === null && inForce.get(crewDayKey(d)) === planId;
        })
        .map((d) => ({ crewId: d.crewId, crewName: crewName.get(d.crewId) ?? d.crewId })),
      changes: (await planChanges(tx, planId)).map((c) => ({ ...c, at: new Date(c.at).toISOString() })),
      map: mapOf(loaded, names),
    };
  });
}

export async function siteNames(tx: Sql, { plan }: Pick<LoadedPlan, "plan">): Promise<Map<string, string>> {
  const ids = plan.visits.map((v) => v.siteId);
  const rows = await tx<{ site_id: string; name: string }[]>`
    SELECT site_id, name FROM site WHERE account_id = current_account() AND site_id = ANY(${ids})`;
  return new Map(rows.map((row) => [row.site_id, row.name]));
}

function boardDays({ plan, held, routes }: LoadedPlan, names: ReadonlyMap<string, string>): BoardDay[] {
  const visits = new Map(plan.visits.map((v) => [v.visitId, v]));
  return plan.crewDays.flatMap((d): BoardDay[] => {
    const crew = held.input.crews.find((each) => each.crewId === d.crewId);
    if (!crew) return [];
    const midnight = Date.parse(`${d.day}T00:00:00Z`);
    const minute = (at: number) => Math.floor((wallMs(at, crew.timeZone) - midnight) / MINUTE_MS);
    const index = held.dayOf.get(crewDayKey(d));
    const driven = index === undefined ? null : drivenDay(held, index, routes[index] ?? []);
    let left = driven?.day.leave ?? d.shiftFrom;
    const stops = (driven?.day.stops ?? []).map((stop): BoardStop => {
      const from = left;
      left = stop.depart;
      const known = visits.get(stop.visitId);
      return {
        ...{ visitId: stop.visitId, siteId: stop.siteId, siteName: names.get(stop.siteId) ?? stop.siteId },
        ...{
          urgency: known?.basis.urgency ?? "planned",
          arrive: clock(minute(stop.arrive)),
          start: clock(minute(stop.start)),
        },
        ...{ depart: clock(minute(stop.depart)), from: minute(stop.start), to: minute(stop.depart) },
        ...{
          driveFrom: minute(from),
          driveTo: minute(stop.arrive),
          driveKm: stop.driveKm,
          driveMinutes: stop.driveMinutes,
        },
        ...{ promised: stop.pinned, pinnedBy: known?.pinnedBy ?? null, frozen: known?.frozen ?? false },
      };
    });
    const any = stops.length > 0 && driven;
    const { bands, forecast } = bandsOf(held, d, driven?.day.stops ?? [], minute);
    return [
      {
        ...{ crewId: d.crewId, crewName: crew.name, day: d.day, bands, forecast, stops, lockedBy: d.lockedBy },
        ...{ addedBy: d.addedBy, closedBy: d.closedBy, light: lightOf(d, crew, minute) },
        shift: {
          from: minute(d.shiftFrom),
          to: minute(d.shiftTo),
          says: `${clock(minute(d.shiftFrom))} to ${clock(minute(d.shiftTo))}`,
        },
        leave: any ? clock(minute(driven.day.leave)) : null,
        return: any ? clock(minute(driven.day.return)) : null,
        homeFrom: any ? minute(left) : null,
        homeTo: any ? minute(driven.day.return) : null,
        ...{ km: any ? driven.km : 0, value: any ? driven.value : 0 },
      },
    ];
  });
}

const clock = (minute: number) =>
  `${String(Math.floor(minute / 60)).padStart(2, "0")}:${String(((minute % 60) + 60) % 60).padStart(2, "0")}`;

function lightOf(
  d: StoredPlanDay,
  crew: { baseLatitude: number; baseLongitude: number },
  minute: (at: number) => number,
) {
  const base = { latitude: crew.baseLatitude, longitude: crew.baseLongitude };
  const noon = (d.shiftFrom + d.shiftTo) / 2;
  const lit: number[] = [];
  for (let at = noon - DAY_MS / 2; at <= noon + DAY_MS / 2; at += 10 * MINUTE_MS)
    if (sunElevationDeg(at, base) > SUNRISE_DEG) lit.push(at);
  const first = lit[0];
  const last = lit.at(-1);
  return first === undefined || last === undefined ? null : { from: minute(first), to: minute(last) };
}

/** Hours of the shift that keep people off a roof at any of the day's sites, and why; without stops at any site of the plan. */
function bandsOf(held: HeldPlan, d: StoredPlanDay, stops: readonly PlannedStop[], minute: (at: number) => number) {
  const sites = stops.length > 0 ? stops.map((stop) => stop.siteId) : held.input.visits.map((v) => v.site.siteId);
  const byHour = new Map<number, Set<string>>();
  let forecast = false;
  for (const siteId of new Set(sites)) {
    for (const hour of held.input.outlook.get(siteId) ?? []) {
      if (hour.at <= d.shiftFrom - HOUR_MS || hour.at - HOUR_MS >= d.shiftTo + HOUR_MS) continue;
      forecast ||= hour.basis !== "past_years";
      const why = roofRefusal(hour);
      if (why) byHour.set(hour.at, (byHour.get(hour.at) ?? new Set()).add(why));
    }
  }
  const bands: BoardDay["bands"] = [];
  for (const [at, why] of [...byHour].sort((a, b) => a[0] - b[0])) {
    const says = [...why].sort().join(", ");
    const from = minute(at - HOUR_MS);
    const last = bands.at(-1);
    if (last && last.to === from && last.why === says) last.to = from + 60;
    else bands.push({ from, to: from + 60, why: says });
  }
  return { bands, forecast };
}

function idleDays(held: HeldPlan, names: ReadonlyMap<string, string>): PlanBoardView["idle"] {
  const { from, days, crews } = held.given;
  return Array.from({ length: days }, (_, k) => dayAfter(from, k)).flatMap((day) =>
    crews
      .filter((crew) => !worksOn(crew, day, held.holds))
      .map((crew) => ({ crewId: crew.crewId, crewName: names.get(crew.crewId) ?? crew.crewId, day })),
  );
}

function mapOf({ plan, held, routes }: LoadedPlan, names: ReadonlyMap<string, string>) {
  const visits = new Map(plan.visits.map((v) => [v.visitId, v]));
  const sites = held.input.visits.map(({ visitId, site: { siteId, latitude, longitude } }) => {
    const urgency = visits.get(visitId)?.basis.urgency ?? ("planned" as const);
    return { visitId, siteName: names.get(siteId) ?? siteId, urgency, latitude, longitude };
  });
  const bases = held.input.crews.map((crew) => {
    const { crewId, name, baseLatitude: latitude, baseLongitude: longitude } = crew;
    return { crewId, crewName: name, latitude, longitude };
  });
  const driven = routes.flatMap((route, index) => {
    const shift = held.planned.shifts[index];
    if (!shift || route.length === 0) return [];
    const base = { latitude: shift.crew.baseLatitude, longitude: shift.crew.baseLongitude };
    const stops = route.map((stop) => held.input.visits[stop]?.site ?? base);
    return [{ crewId: shift.crew.crewId, day: shift.day, places: [base, ...stops, base] }];
  });
  return planMap(sites, bases, driven);
}
