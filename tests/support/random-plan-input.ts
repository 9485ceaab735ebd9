import { integerBelow, type Rng } from "../../lib/core/random.ts";
import { type Crew, type Site, SKILLS, type Visit, WEEKDAYS } from "../../lib/core/records.ts";
import type { OutlookHour, PlanInput, VisitToPlan } from "../../lib/dispatch/routes/plan-input.ts";

const HOUR_MS = 3_600_000;
const ZONES = ["America/New_York", "America/Chicago", "America/Phoenix"] as const;
/** Around the day on which clocks change, and one each in the middle of winter and summer. */
const DAYS = ["2026-03-06", "2026-10-30", "2026-01-12", "2026-06-15"] as const;

/** Crews, visits, promises and outlooks drawn at random, many of them at odds with one another. */
export function randomPlanInput(rng: Rng): PlanInput {
  const pick = <T>(from: readonly T[]): T => from[integerBelow(rng, from.length)] as T;
  const some = (share: number) => rng() < share;
  const zone = pick(ZONES);
  const from = pick(DAYS);
  const first = Date.parse(`${from}T00:00:00Z`);
  const days = 1 + integerBelow(rng, 4);
  const place = () => ({ latitude: 38 + 1.5 * rng(), longitude: -88 + 1.5 * rng() });
  const clock = (least: number, most: number) =>
    `${String(least + integerBelow(rng, most - least)).padStart(2, "0")}:${pick(["00", "15", "30"])}`;
  const crews = Array.from({ length: integerBelow(rng, 4) }, (_, i): Crew => {
    const { latitude, longitude } = place();
    return {
      ...{
        crewId: `C${i}`,
        name: `Crew ${i}`,
        baseLatitude: latitude,
        baseLongitude: longitude,
        timeZone: some(0.8) ? zone : pick(ZONES),
      },
      ...{ shiftStart: clock(6, 10), shiftEnd: some(0.9) ? clock(13, 19) : "05:00" },
      skills: SKILLS.filter((skill) => some(skill === "battery" ? 0.3 : 0.8)),
      people: some(0.1) ? null : 1 + integerBelow(rng, 3),
      qualifiedPeople: some(0.1) ? null : integerBelow(rng, 3),
      ...{
        hourlyCost: some(0.5) ? null : 120 * rng(),
        costPerKm: some(0.5) ? null : 2 * rng(),
        workDays: some(0.1) ? [] : WEEKDAYS.filter(() => some(0.8)),
      },
    };
  });
  const visits = Array.from({ length: 1 + integerBelow(rng, 14) }, (_, i): VisitToPlan => {
    const access = { accessFrom: some(0.3) ? clock(7, 12) : null, accessTo: some(0.3) ? clock(12, 18) : null };
    const start = first + (12 + 24 * (integerBelow(rng, days + 2) - 1) + 8 * rng()) * HOUR_MS;
    const booked: Visit = {
      ...{ visitId: `V${i}`, siteId: `S${i}`, status: some(0.8) ? "promised" : "planned", note: null },
      promisedFrom: some(0.8) ? start : null,
      promisedTo: some(0.8) ? start + 4 * rng() * HOUR_MS : null,
      crewId: some(0.4) ? `C${integerBelow(rng, 4)}` : null,
    };
    return {
      visitId: `V${i}`,
      site: { siteId: `S${i}`, ...place(), timeZone: zone, ...access } as Site,
      urgency: pick(["make_safe", "urgent", "planned", "planned"] as const),
      avoided: some(0.1) ? null : 5000 * rng(),
      hoursOnSite: (1 + integerBelow(rng, some(0.05) ? 60 : 16)) / 4,
      skills: SKILLS.filter((skill) => some(skill === "electrician" ? 0.9 : 0.25)),
      liveMeasurement: some(0.6),
      // Also where it can never be: on roofs, beside measurements, at emergencies.
      ...(some(0.12) ? { inTheWet: pick(["allowed", "allowed", "taken_back"] as const) } : {}),
      booked: some(0.3) ? booked : null,
    };
  });
  const unknownOr = (value: number) => (some(0.15) ? null : value);
  const hour = (h: number): OutlookHour => ({
    at: first + h * HOUR_MS,
    rainProbability: unknownOr(rng() ** 3),
    gustProbability: unknownOr(rng() ** 4),
    thunderProbability: unknownOr(rng() ** 6),
    filmMm: unknownOr(some(0.9) ? 0 : 0.2 * rng()),
    temperatureC: unknownOr(30 * rng() - 2),
  });
  const outlook = new Map(
    visits.flatMap(({ site }) =>
      some(0.6) ? [[site.siteId, Array.from({ length: 120 }, (_, h) => hour(h))] as const] : [],
    ),
  );
  const input = { visits, crews, from, days, outlook, roadFactor: 1.3, speedKmh: 60 };
  const costs = some(0.5) ? { costs: { perHour: 60, perKm: 0.7 }, currency: "USD" } : {};
  return { ...input, ...costs, ...(some(0.3) ? { roads: randomRoads(rng) } : {}) };
}

/** Ways of one's own, some of them lacking and some no numbers; the way back is another. */
function randomRoads(rng: Rng): NonNullable<PlanInput["roads"]> {
  const legs = new Map<string, { minutes: number; km: number | null } | null>();
  const drawn = () => ({ minutes: rng() < 0.05 ? Number.NaN : 10 + 140 * rng(), km: rng() < 0.3 ? null : 200 * rng() });
  return {
    name: "The travel table",
    leg: (from, to) => {
      const key = `${from}>${to}`;
      if (!legs.has(key)) legs.set(key, rng() < 0.2 ? null : drawn());
      return legs.get(key) ?? null;
    },
  };
}
