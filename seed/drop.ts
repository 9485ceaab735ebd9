import {
  CREWS,
  coverageCells,
  faultCells,
  inverterCells,
  readingCells,
  sectionCells,
  siteCells,
  telemetryCells,
  visitCells,
  weatherCells,
} from "./site-cells.ts";
import { type Cells, siteInspections, siteRepairs } from "./visits-made.ts";
import type { DemoSite, DemoWorld } from "./world.ts";

/** One file of the demo's drop, rows made as they are taken. */
export interface DemoFile {
  file: string;
  header: string[];
  rows: () => Iterable<string[]>;
}

function table(file: string, header: string[], rows: () => Iterable<Cells>): DemoFile {
  return {
    file,
    header,
    rows: function* () {
      for (const row of rows()) yield header.map((name) => row[name] ?? "");
    },
  };
}

/** Parts of a drop that a larger fleet makes in its own way. */
export interface DropParts {
  /** Place of the world's first site in the whole fleet. */
  firstIndex?: number;
  codes?: readonly Cells[];
  crews?: readonly Cells[];
  faultsOf?: (site: DemoSite) => Iterable<Cells>;
}

/** Every file of the contract for a world. */
export function demoDrop(world: DemoWorld, parts: DropParts = {}): DemoFile[] {
  const { firstIndex = 0, codes = CODES, crews = CREWS, faultsOf = (site) => faultCells(world, site) } = parts;
  const each = (make: (site: DemoSite, i: number) => Cells[]) => () =>
    world.sites.flatMap((site, k) => make(site, firstIndex + k));
  return [
    table(
      "sites.csv",
      SITE_COLUMNS,
      each((s, i) => [siteCells(s, i)]),
    ),
    table(
      "inverters.csv",
      [
        "site_id",
        "inverter_id",
        "ac_kw",
        "topology",
        "ac_ocpd_a",
        "egc_awg",
        "egc_material",
        "code_system",
        "detector",
        "max_dc_v",
        "insulation_limit_kohm",
        "dc_grounding",
        "reset",
        "log_source",
      ],
      each(inverterCells),
    ),
    table(
      "sections.csv",
      [
        "site_id",
        "section_id",
        "inverter_id",
        "dc_kw",
        "azimuth_deg",
        "tilt_deg",
        "parallel_strings",
        "module_isc_a",
        "ocpd_a",
        "egc_awg",
        "egc_material",
        "bond_method",
        "hardware_listed",
        "hardware_batch",
        "bonded_to",
      ],
      each(sectionCells),
    ),
    table("codes.csv", ["code_system", "code", "event", "detector"], () => codes),
    table(
      "faults.csv",
      ["site_id", "inverter_id", "started_at", "ended_at", "code", "reset_by", "closed_as"],
      function* () {
        for (const site of world.sites) yield* faultsOf(site);
      },
    ),
    table(
      "telemetry.csv",
      ["site_id", "inverter_id", "started_at", "ended_at", "state"],
      each((s) => telemetryCells(world, s)),
    ),
    table("readings.csv", ["site_id", "inverter_id", "observed_at", "insulation_kohm", "ac_power_kw"], function* () {
      for (const site of world.sites) yield* readingCells(world, site);
    }),
    table("stations.csv", ["station_id", "name", "latitude", "longitude", "elevation_m", "time_zone"], () =>
      world.skies.map(({ station: s }) => ({
        station_id: s.stationId,
        name: s.name,
        latitude: String(s.latitude),
        longitude: String(s.longitude),
        elevation_m: String(s.elevationM),
        time_zone: "America/Chicago",
      })),
    ),
    table(
      "weather.csv",
      ["station_id", "observed_at", "precipitation_mm", "temperature_c", "dew_point_c", "wind_m_s", "thunder"],
      function* () {
        for (const sky of world.skies) yield* weatherCells(sky);
      },
    ),
    table(
      "inspections.csv",
      INSPECTION_COLUMNS,
      each((s) => siteInspections(world, s)),
    ),
    table(
      "repairs.csv",
      ["site_id", "repaired_at", "cause", "section_id", "inverter_id", "action", "confirmed", "tested_after"],
      each((s) => siteRepairs(world, s)),
    ),
    table(
      "visits.csv",
      ["visit_id", "site_id", "promised_from", "promised_to", "crew_id", "status", "note"],
      each((s, i) => visitCells(world, s, i)),
    ),
    table(
      "crews.csv",
      [
        "crew_id",
        "name",
        "base_latitude",
        "base_longitude",
        "shift_start",
        "shift_end",
        "skills",
        "people",
        "qualified_people",
        "hourly_cost",
        "cost_per_km",
        "work_days",
        "time_zone",
      ],
      () => crews,
    ),
    table(
      "coverage.csv",
      [
        "coverage_id",
        "site_id",
        "kind",
        "provider",
        "starts_on",
        "ends_on",
        "limit_amount",
        "deductible_amount",
        "notice_days",
        "policy_number",
        "currency",
        "limit_basis",
        "trigger",
        "excludes",
        "conditions",
      ],
      each((s, i) => coverageCells(s, i)),
    ),
  ];
}

export const CODES: readonly Cells[] = [
  { code_system: "field_codes", code: "E214", event: "GROUND_FAULT", detector: "insulation_check" },
  { code_system: "field_codes", code: "E301", event: "GRID_DISCONNECT" },
  { code_system: "field_codes", code: "E410", event: "OVER_TEMP" },
];

const SITE_COLUMNS = [
  "site_id",
  "name",
  "portfolio",
  "latitude",
  "longitude",
  "time_zone",
  "dc_kw",
  "ac_kw",
  "commissioned_on",
  "mounting",
  "access",
  "installer",
  "nec_edition",
  "energy_price_per_kwh",
  "electrode",
  "separate_array_electrode",
  "gec_awg",
  "gec_material",
  "service_conductor_awg",
  "ac_voltage_v",
  "annual_kwh",
  "insured_value",
  "currency",
  "contact_name",
  "contact_phone",
  "emergency_phone",
  "access_from",
  "access_to",
  "permit_authority",
];
const INSPECTION_COLUMNS = [
  "site_id",
  "inspected_at",
  "check",
  "section_id",
  "inverter_id",
  "point_a",
  "point_b",
  "outcome",
  "value",
  "unit",
  "quantity",
  "meter_impedance",
  "method",
  "test_voltage_v",
  "surface",
  "system_state",
  "instrument_serial",
  "calibrated_on",
  "inspector",
  "inspector_licence",
  "note",
];
