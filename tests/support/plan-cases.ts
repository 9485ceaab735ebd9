import type { Crew, Site } from "../../lib/core/records.ts";
import type { PlanInput, VisitToPlan } from "../../lib/dispatch/routes/plan-input.ts";

/** A crew of two near New York, 08:00 to 16:00 on weekdays. */
export const planCrew = (more: Partial<Crew> = {}): Crew => ({
  crewId: "C1",
  name: "North",
  baseLatitude: 40.7,
  baseLongitude: -74,
  shiftStart: "08:00",
  shiftEnd: "16:00",
  skills: ["electrician", "roof"],
  people: 2,
  qualifiedPeople: 1,
  hourlyCost: null,
  costPerKm: null,
  workDays: ["mon", "tue", "wed", "thu", "fri"],
  timeZone: "America/New_York",
  ...more,
});

/** A planned visit of two hours near that crew's base. */
export const planVisit = (id: string, more: Partial<VisitToPlan> = {}, site: Partial<Site> = {}): VisitToPlan => ({
  visitId: id,
  site: {
    siteId: `S-${id}`,
    latitude: 40.75,
    longitude: -74.05,
    timeZone: "America/New_York",
    accessFrom: null,
    accessTo: null,
    ...site,
  } as Site,
  urgency: "planned",
  avoided: 100,
  hoursOnSite: 2,
  skills: ["electrician"],
  liveMeasurement: true,
  booked: null,
  ...more,
});

/** One day from Monday 1 June 2026, without an outlook. */
export const planCase = (visits: VisitToPlan[], crews: Crew[], more: Partial<PlanInput> = {}): PlanInput => ({
  visits,
  crews,
  from: "2026-06-01",
  days: 1,
  outlook: new Map(),
  roadFactor: 1.3,
  speedKmh: 60,
  ...more,
});
