import { seededRng } from "../lib/core/random.ts";
import { siteFaults } from "./failures.ts";
import { HOUR, type StationSky } from "./sky.ts";
import type { Cells } from "./visits-made.ts";
import type { DemoSite, DemoWorld } from "./world.ts";

export const iso = (at: number) => new Date(at).toISOString().replace(".000Z", "Z");
const DAY = 24 * HOUR;

export function siteCells(s: DemoSite, i: number): Cells {
  const rng = seededRng(`cells/${s.siteId}`);
  const isolated = s.planted.causes.includes("isolated_electrode");
  const edition =
    s.commissionedYear < 2016
      ? "2014"
      : s.commissionedYear < 2019
        ? "2017"
        : s.commissionedYear < 2022
          ? "2020"
          : "2023";
  return {
    site_id: s.siteId,
    name: s.name,
    portfolio: s.portfolio,
    latitude: String(s.latitude),
    longitude: String(s.longitude),
    time_zone: "America/Chicago",
    dc_kw: String(s.dcKw),
    ac_kw: (s.dcKw * 0.82).toFixed(1),
    commissioned_on: `${s.commissionedYear}-0${1 + (i % 9)}-15`,
    mounting: s.mounting,
    access: s.access ?? "",
    installer: s.installer,
    nec_edition: rng() < 0.85 ? edition : "",
    energy_price_per_kwh: "0.14",
    electrode: rng() < 0.6 ? "rod" : "concrete_encased",
    separate_array_electrode: isolated
      ? rng() < 0.4
        ? "not_bonded"
        : "unknown"
      : rng() < 0.6
        ? "none"
        : rng() < 0.5
          ? "bonded"
          : "unknown",
    gec_awg: "6",
    gec_material: "copper",
    service_conductor_awg: "2/0",
    ac_voltage_v: "240",
    annual_kwh: String(Math.round(s.dcKw * 1320)),
    insured_value: String(Math.round(s.dcKw * 2400)),
    currency: "USD",
    contact_name: "Site manager",
    contact_phone: `555-01${String(i % 100).padStart(2, "0")}`,
    emergency_phone: "555-0199",
    access_from: s.access === "residential" ? "08:00" : "06:30",
    access_to: "17:00",
    permit_authority: "Local building office",
  };
}

export function inverterCells(s: DemoSite): Cells[] {
  const undersized = s.planted.causes.includes("egc_undersized");
  return s.inverters.map((inverter_id, k) => ({
    site_id: s.siteId,
    inverter_id,
    ac_kw: ((s.dcKw * 0.82) / s.inverters.length).toFixed(1),
    topology: "non_isolated",
    ac_ocpd_a: "70",
    // The silent defect is on record only here and there; elsewhere the size was never written down.
    egc_awg:
      undersized && k === 0 && s.siteId.charCodeAt(3) % 2 === 0 ? "12" : s.siteId.charCodeAt(2) % 3 === 0 ? "" : "8",
    egc_material: "copper",
    code_system: s.codeSystem,
    detector: s.codeSystem === "field_codes" ? "insulation_check" : "several",
    max_dc_v: "600",
    insulation_limit_kohm: "100",
    dc_grounding: "ungrounded",
    reset: "limited_auto",
    log_source: `gateway-${s.siteId}`,
  }));
}

export function sectionCells(s: DemoSite): Cells[] {
  return s.sections.map((x) => ({
    site_id: s.siteId,
    section_id: x.sectionId,
    inverter_id: x.inverterId,
    dc_kw: (s.dcKw / s.sections.length).toFixed(2),
    azimuth_deg: String(x.azimuthDeg),
    tilt_deg: s.mounting === "carport" ? "7" : "22",
    parallel_strings: "2",
    module_isc_a: "10.4",
    ocpd_a: "none",
    egc_awg: "10",
    egc_material: "copper",
    bond_method: s.planted.causes.includes("open_section_bond") && x.bondedTo === null ? "unknown" : "clip",
    hardware_listed: x.listed,
    hardware_batch: x.batch,
    bonded_to: x.bondedTo ?? "",
  }));
}

const FIELD_CODES: Record<string, string> = { GROUND_FAULT: "E214", GRID_DISCONNECT: "E301", OVER_TEMP: "E410" };
const EVT1: Record<string, string[]> = {
  GROUND_FAULT: ["1", "0x1", "GROUND_FAULT"],
  GRID_DISCONNECT: ["16"],
  OVER_TEMP: ["128"],
};

export function* faultCells(world: DemoWorld, s: DemoSite): Iterable<Cells> {
  const style = s.siteId.charCodeAt(3) % 3;
  for (const f of siteFaults(world, s)) {
    const codes = EVT1[f.event] as string[];
    yield {
      site_id: s.siteId,
      inverter_id: f.inverterId,
      started_at: iso(f.start),
      ended_at: f.end === null ? "" : iso(f.end),
      code: s.codeSystem === "field_codes" ? (FIELD_CODES[f.event] as string) : (codes[style % codes.length] as string),
      reset_by: f.resetBy,
      closed_as: f.closedAs,
    };
  }
}

export function telemetryCells(world: DemoWorld, s: DemoSite): Cells[] {
  if (!s.hasTelemetry) return [];
  const rng = seededRng(`telemetry/${s.siteId}`);
  const rows: Cells[] = [];
  for (const inverter_id of s.inverters) {
    let at = world.start;
    while (at < world.end) {
      const until = Math.min(world.end, at + Math.round((30 + 200 * rng()) * 24) * HOUR);
      rows.push({ site_id: s.siteId, inverter_id, started_at: iso(at), ended_at: iso(until), state: "reporting" });
      const gap = until < world.end ? Math.round(6 + 90 * rng()) * HOUR : 0;
      if (gap > 0)
        rows.push({
          site_id: s.siteId,
          inverter_id,
          started_at: iso(until),
          ended_at: iso(Math.min(world.end, until + gap)),
          state: "silent",
        });
      at = until + gap;
    }
  }
  return rows;
}

export function* readingCells(world: DemoWorld, s: DemoSite): Iterable<Cells> {
  const low = s.hazard === "insulation";
  if (!s.hasReadings && !low) return;
  const rng = seededRng(`readings/${s.siteId}`);
  const leaky = ["conductor_insulation", "connector_ingress", "module_insulation"].some((c) =>
    s.planted.causes.includes(c as never),
  );
  for (const inverter_id of s.inverters) {
    for (let day = 0; day < world.options.days; day += 2) {
      const at = world.start + day * DAY + 18 * HOUR;
      const h = Math.round((at - s.sky.firstEnd) / HOUR);
      const wet = (s.sky.waterMm[h] ?? 0) > 0.05;
      const home = inverter_id === s.inverters[0];
      const failing = low && home && day > world.options.days - 8;
      const median = failing ? 15 : leaky && home && wet ? 500 : wet ? 2600 : 6000;
      yield {
        site_id: s.siteId,
        inverter_id,
        observed_at: iso(at),
        insulation_kohm: (median * Math.exp(0.5 * (rng() + rng() + rng() - 1.5))).toFixed(0),
        ac_power_kw: (s.dcKw * 0.4 * rng()).toFixed(1),
      };
    }
  }
}

export function* weatherCells(sky: StationSky): Iterable<Cells> {
  for (let h = 0; h < sky.rainMm.length; h++) {
    if (sky.missing[h]) continue;
    yield {
      station_id: sky.station.stationId,
      observed_at: iso(sky.firstEnd + h * HOUR),
      precipitation_mm: (sky.rainMm[h] as number).toFixed(1),
      temperature_c: (sky.temperatureC[h] as number).toFixed(1),
      dew_point_c: (sky.dewPointC[h] as number).toFixed(1),
      wind_m_s: (sky.windMs[h] as number).toFixed(1),
      thunder: String(sky.thunder[h]),
    };
  }
}

export function visitCells(world: DemoWorld, s: DemoSite, i: number): Cells[] {
  if (i % 29 === 3) {
    const from = world.end + 6 * DAY + 15 * HOUR;
    return [
      {
        visit_id: `V-${s.siteId}`,
        site_id: s.siteId,
        promised_from: iso(from),
        promised_to: iso(from + 3 * HOUR),
        crew_id: "C1",
        status: "promised",
      },
    ];
  }
  return i % 31 === 5
    ? [
        {
          visit_id: `V-${s.siteId}`,
          site_id: s.siteId,
          promised_from: iso(world.end - 20 * DAY),
          promised_to: iso(world.end - 20 * DAY + 3 * HOUR),
          crew_id: "C2",
          status: "done",
        },
      ]
    : [];
}

export const CREW: Cells = {
  shift_start: "07:00",
  shift_end: "17:00",
  hourly_cost: "95",
  cost_per_km: "0.62",
  time_zone: "America/Chicago",
  work_days: "mon;tue;wed;thu;fri",
};
export const CREWS: Cells[] = [
  {
    ...CREW,
    crew_id: "C1",
    name: "Crew north",
    base_latitude: "42.0",
    base_longitude: "-93.4",
    skills: "electrician;roof",
    people: "2",
    qualified_people: "2",
  },
  {
    ...CREW,
    crew_id: "C2",
    name: "Crew river",
    base_latitude: "41.1",
    base_longitude: "-92.8",
    skills: "electrician;roof;battery",
    people: "3",
    qualified_people: "2",
  },
  {
    ...CREW,
    crew_id: "C3",
    name: "Crew west",
    base_latitude: "41.4",
    base_longitude: "-94.9",
    skills: "electrician;roof",
    people: "2",
    qualified_people: "2",
  },
];

export function coverageCells(s: DemoSite, i: number): Cells[] {
  return [...warranties(s, i), ...policies(s, i)];
}

function warranties(s: DemoSite, i: number): Cells[] {
  const rows: Cells[] = [];
  if (i % 3 !== 2)
    rows.push({
      coverage_id: `W-${s.siteId}`,
      site_id: s.siteId,
      kind: "workmanship",
      provider: s.installer,
      starts_on: `${s.commissionedYear}-01-15`,
      ends_on: `${s.commissionedYear + 10}-01-15`,
      limit_amount: "25000",
      deductible_amount: "0",
      notice_days: i % 2 === 0 ? "30" : "",
      currency: "USD",
      conditions: "documented_repairs",
    });
  if (i % 2 === 0)
    rows.push({
      coverage_id: `E-${s.siteId}`,
      site_id: s.siteId,
      kind: "equipment",
      provider: `Maker ${1 + (i % 3)}`,
      starts_on: `${s.commissionedYear}-01-15`,
      ends_on: `${s.commissionedYear + 15}-01-15`,
      limit_amount: "12000",
      deductible_amount: "150",
      notice_days: "60",
      currency: "USD",
      limit_basis: "per_occurrence",
      excludes: i % 6 === 0 ? "surge_damage" : "",
    });
  return rows;
}

/** Each book has a property policy over most of its sites and cover for injured persons where people come near. */
function policies(s: DemoSite, i: number): Cells[] {
  const book = s.portfolio.split(" ")[0] as string;
  const rows: Cells[] = [];
  const year = { starts_on: "2026-04-01", ends_on: "2027-03-31", currency: "USD" };
  if (i % 7 !== 5)
    rows.push({
      ...year,
      coverage_id: `P-${s.siteId}`,
      site_id: s.siteId,
      kind: "property_insurance",
      provider: "Carrier One",
      policy_number: `${book.toUpperCase()}-PROPERTY`,
      limit_amount: "400000",
      // One row as it comes in from a tired clerk: a limit below its deductible.
      deductible_amount: i === 10 ? "500000" : "2500",
      limit_basis: "aggregate",
      trigger: "occurrence",
      notice_days: i % 5 === 0 ? "" : "14",
      conditions: "code_compliant_grounding;annual_inspection",
      excludes: i % 8 === 3 ? "wear and tear" : "",
    });
  if (s.access !== "fenced" && i % 4 !== 3)
    rows.push({
      ...year,
      // And one without its currency.
      currency: i === 13 ? "" : "USD",
      coverage_id: `L-${s.siteId}`,
      site_id: s.siteId,
      kind: "liability_insurance",
      provider: "Carrier Two",
      policy_number: `${book.toUpperCase()}-LIABILITY`,
      limit_amount: "2000000",
      deductible_amount: "5000",
      limit_basis: "per_occurrence",
      trigger: book === "River" ? "claims_made" : "occurrence",
      notice_days: "30",
      conditions: "code_compliant_grounding;licensed_installer",
    });
  // Two policies over one loss.
  if (i === 16)
    rows.push({
      ...year,
      coverage_id: `X-${s.siteId}`,
      site_id: s.siteId,
      kind: "property_insurance",
      provider: "Carrier Three",
      limit_amount: "150000",
      deductible_amount: "10000",
      limit_basis: "per_occurrence",
      trigger: "occurrence",
    });
  return rows;
}
