import { distanceText, sentenceIn, type Units } from "../core/units.ts";
import { CAUTIONS, cautionText } from "../grounding/cautions.ts";
import type { ReportDocument, ReportSection } from "./report-document.ts";

export interface DaySheetStop {
  /** On the crew's clock, `HH:MM`. */
  arrive: string;
  start: string;
  depart: string;
  driveKm: number;
  driveMinutes: number;
  siteName: string;
  siteId: string;
  visitId: string;
  urgency: string;
  promised: boolean;
  hoursOnSite: number;
  needs: string[];
  latitude: number;
  longitude: number;
  contact: string | null;
  emergency: string | null;
  access: string | null;
  /** Of one that is planned for the wet: its rules. */
  wetLook?: string;
  reasons: string[];
  /** What to do, in walking order, each with its own caution. */
  checks: { says: string; accept: string; caution: string }[];
}

export interface DaySheet {
  crewName: string;
  day: string;
  timeZone: string;
  leave: string | null;
  return: string | null;
  km: number;
  state: string;
  stops: DaySheetStop[];
  madeAt: number;
  /** Of who asked for it. */
  units: Units;
}

const FIRST =
  cautionText(["all_metal_live", "isolation_limits", "stop_limit", "keep_bonds_closed", "no_load_break", "no_reset"]) +
  " " +
  cautionText(["wet_roof", "fall_protection", "two_people", "local_authority"]);

/** A crew's day on paper: when and where, who opens, what to check, and what hurts people. */
export function daySheetReport(sheet: DaySheet): ReportDocument {
  return {
    title: `Day sheet, ${sheet.crewName}`,
    subtitle: `${sheet.day}, times of ${sheet.timeZone}`,
    facts: [
      ["Plan", sheet.state],
      [
        "Away",
        sheet.leave && sheet.return
          ? `${sheet.leave} to ${sheet.return}, ${distanceText(sheet.km, sheet.units)}`
          : "no stop",
      ],
    ],
    sections: [
      { heading: "Before anything else", paragraphs: [FIRST] },
      {
        heading: "Stops",
        paragraphs: sheet.stops.length === 0 ? ["No stop is planned. That is no clearance of any site."] : [],
        table: {
          columns: [
            { head: "Arrive", share: 1 },
            { head: "Work", share: 2 },
            { head: "Site", share: 4 },
            { head: "Urgency", share: 2 },
            { head: "Drive", share: 2, right: true },
          ],
          rows: sheet.stops.map((stop) => [
            stop.arrive,
            `${stop.start} to ${stop.depart}`,
            `${stop.siteName} (${stop.siteId})${stop.promised ? ", promised" : ""}`,
            stop.urgency,
            `${distanceText(stop.driveKm, sheet.units)}, ${Math.round(stop.driveMinutes)} min`,
          ]),
        },
      },
      ...sheet.stops.map((stop, index) => stopSection(stop, index, sheet.units)),
    ],
    footer: `${sheet.crewName}, ${sheet.day}. No sheet clears a site: measure before touching.`,
    madeAt: sheet.madeAt,
  };
}

function stopSection(stop: DaySheetStop, index: number, units: Units): ReportSection {
  const line = (label: string, value: string | null) => `${label}: ${value ?? "not recorded"}`;
  return {
    heading: `${index + 1}. ${stop.siteName}`,
    paragraphs: [
      `${stop.start} to ${stop.depart}, visit ${stop.visitId}, ${stop.urgency}. ${stop.hoursOnSite} h, needs ${stop.needs.join(", ") || "no special skill"}. ${stop.latitude.toFixed(5)}, ${stop.longitude.toFixed(5)}`,
      line("Contact", stop.contact),
      line("In an emergency", stop.emergency),
      line("Access", stop.access),
      ...(stop.wetLook ? [`A LOOK IN THE WET. ${stop.wetLook} Only the lines below.`] : []),
      ...stop.reasons.map((reason) => sentenceIn(units, reason)),
    ],
    ...(stop.checks.length > 0
      ? {
          table: {
            columns: [
              { head: "Check", share: 5 },
              { head: "Accept", share: 4 },
              { head: "Found", share: 2 },
            ],
            rows: stop.checks.map((check) => [check.says, check.accept, ""]),
          },
          after: [`Cautions of these checks. ${cautionsOf(stop.checks)}`],
        }
      : {}),
  };
}

/** Every caution of some checks, each whole and once, in the order of the table of cautions. */
function cautionsOf(checks: readonly { caution: string }[]): string {
  return Object.values(CAUTIONS)
    .filter((caution) => checks.some((check) => check.caution.includes(caution)))
    .join(" ");
}
