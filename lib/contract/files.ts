import * as r from "../core/records.ts";
import { INVERTER_EVENT_NAMES } from "../faults/sunspec-events.ts";
import {
  amperesOrNone,
  awg,
  currency,
  day,
  keyText,
  listOf,
  number,
  oneOf,
  point,
  text,
  timeOfDay,
  timeZone,
} from "./cell.ts";
import {
  dayColumn,
  EMPTY_KEY,
  type FileSpec,
  KEY,
  momentColumn,
  numberColumn,
  REQUIRED,
  type RowRule,
  textColumn,
  timeColumn,
  utcColumn,
  wholeColumn,
} from "./file-spec.ts";

const ID = keyText(200);
const positive = number({ above: 0, max: 1e9 });
const nonNegative = number({ min: 0, max: 1e12 });
const events = oneOf([...INVERTER_EVENT_NAMES, "OTHER"].map((name) => name.toLowerCase()));

/** Both given and the second not before the first. */
const notBefore = (first: string, second: string, strict = false): RowRule => {
  const rule: RowRule = (value) => {
    const a = value(first);
    const b = value(second);
    if (a === null || b === null) return null;
    const bad = strict ? b <= a : b < a;
    return bad ? { column: second, reason: `${second} is ${strict ? "not after" : "before"} ${first}` } : null;
  };
  return strict ? rule : Object.assign(rule, { ordered: [first, second] as const });
};

const sites: FileSpec = {
  kind: "sites",
  table: "site",
  bySite: false,
  columns: [
    textColumn("site_id", ID, KEY),
    textColumn("name", text(500), REQUIRED),
    textColumn("portfolio", keyText(500), REQUIRED),
    numberColumn("latitude", number({ min: -90, max: 90 }), REQUIRED),
    numberColumn("longitude", number({ min: -180, max: 180 }), REQUIRED),
    textColumn("time_zone", timeZone, REQUIRED),
    numberColumn("dc_kw", positive, REQUIRED),
    numberColumn("ac_kw", positive, REQUIRED),
    dayColumn("commissioned_on", day),
    textColumn("mounting", oneOf(r.MOUNTINGS)),
    textColumn("access", oneOf(r.ACCESSES)),
    textColumn("installer", text(500)),
    textColumn("nec_edition", oneOf(r.NEC_EDITIONS)),
    numberColumn("energy_price_per_kwh", number({ min: -1e6, max: 1e6 })),
    textColumn("electrode", oneOf(r.ELECTRODES)),
    numberColumn("electrode_length_ft", number({ above: 0, max: 10_000 })),
    textColumn("separate_array_electrode", oneOf(r.ARRAY_ELECTRODES)),
    textColumn("gec_awg", awg),
    textColumn("gec_material", oneOf(r.CONDUCTOR_MATERIALS)),
    textColumn("service_conductor_awg", awg),
    numberColumn("ac_voltage_v", number({ above: 0, max: 1e6 })),
    textColumn("battery", oneOf(r.BATTERIES)),
    textColumn("near_coast", oneOf(r.YES_NO_UNKNOWN)),
    textColumn("station_id", text(100)),
    numberColumn("annual_kwh", nonNegative),
    numberColumn("insured_value", nonNegative),
    textColumn("currency", currency),
    textColumn("contact_name", text(500)),
    textColumn("contact_phone", text(100)),
    textColumn("emergency_phone", text(100)),
    textColumn("access_from", timeOfDay),
    textColumn("access_to", timeOfDay),
    textColumn("access_note", text()),
    textColumn("permit_authority", text(500)),
    numberColumn("roof_pitch_deg", number({ min: 0, max: 90 })),
  ],
};

const inverters: FileSpec = {
  kind: "inverters",
  table: "inverter",
  bySite: true,
  refersTo: ["site"],
  columns: [
    textColumn("site_id", ID, KEY),
    textColumn("inverter_id", ID, KEY),
    numberColumn("ac_kw", positive, REQUIRED),
    textColumn("topology", oneOf(r.TOPOLOGIES)),
    numberColumn("ac_ocpd_a", number({ above: 0, max: 6000 })),
    textColumn("egc_awg", awg),
    textColumn("egc_material", oneOf(r.CONDUCTOR_MATERIALS)),
    textColumn("code_system", text(200)),
    dayColumn("commissioned_on", day),
    textColumn("serial", text(200)),
    textColumn("firmware", text(200)),
    textColumn("detector", oneOf(r.DETECTORS)),
    numberColumn("trip_ma", number({ above: 0, max: 1e6 })),
    numberColumn("insulation_limit_kohm", number({ above: 0, max: 1e9 })),
    numberColumn("max_dc_v", number({ above: 0, max: 10_000 })),
    textColumn("dc_grounding", oneOf(r.DC_GROUNDINGS)),
    textColumn("reset", oneOf(r.RESETS)),
    textColumn("electronics", oneOf(r.ELECTRONICS)),
    textColumn("log_source", text(200)),
  ],
};

const sections: FileSpec = {
  kind: "sections",
  table: "section",
  bySite: true,
  refersTo: ["site", "inverter"],
  columns: [
    textColumn("site_id", ID, KEY),
    textColumn("section_id", ID, KEY),
    textColumn("inverter_id", ID, REQUIRED),
    numberColumn("dc_kw", positive),
    numberColumn("azimuth_deg", number({ min: 0, max: 360 })),
    numberColumn("tilt_deg", number({ min: 0, max: 90 })),
    wholeColumn("parallel_strings", number({ min: 1, max: 100_000, whole: true })),
    numberColumn("module_isc_a", number({ above: 0, max: 100 })),
    textColumn("ocpd_a", amperesOrNone),
    textColumn("combiner_id", text(200)),
    textColumn("egc_awg", awg),
    textColumn("egc_material", oneOf(r.CONDUCTOR_MATERIALS)),
    textColumn("bond_method", oneOf(r.BOND_METHODS)),
    textColumn("hardware_listed", oneOf(r.YES_NO_UNKNOWN)),
    textColumn("hardware_batch", text(200)),
    textColumn("bonded_to", ID),
  ],
};

const codes: FileSpec = {
  kind: "codes",
  table: "code_meaning",
  bySite: false,
  columns: [
    textColumn("code_system", ID, KEY),
    textColumn("code", keyText(500), KEY),
    textColumn("event", events, REQUIRED),
    textColumn("detector", oneOf(r.DETECTORS)),
  ],
};

const faults: FileSpec = {
  kind: "faults",
  table: "fault",
  bySite: true,
  refersTo: ["site", "inverter"],
  isLog: true,
  columns: [
    textColumn("site_id", ID, KEY),
    textColumn("inverter_id", ID, KEY),
    timeColumn("started_at", KEY),
    timeColumn("ended_at"),
    textColumn("code", keyText(500), KEY),
    textColumn("code_system", text(200)),
    textColumn("message", text()),
    timeColumn("reset_at"),
    textColumn("reset_by", oneOf(r.RESET_BY)),
    textColumn("ticket_id", text(200)),
    textColumn("closed_as", oneOf(r.CLOSED_AS)),
  ],
  rules: [notBefore("started_at", "ended_at"), notBefore("started_at", "reset_at")],
};

const telemetry: FileSpec = {
  kind: "telemetry",
  table: "telemetry",
  bySite: true,
  refersTo: ["site", "inverter"],
  columns: [
    textColumn("site_id", ID, KEY),
    textColumn("inverter_id", ID, KEY),
    timeColumn("started_at", KEY),
    timeColumn("ended_at", REQUIRED),
    textColumn("state", oneOf(r.INVERTER_STATES), REQUIRED),
  ],
  rules: [notBefore("started_at", "ended_at", true)],
};

const readings: FileSpec = {
  kind: "readings",
  table: "reading",
  bySite: true,
  refersTo: ["site", "inverter"],
  isLog: true,
  columns: [
    textColumn("site_id", ID, KEY),
    textColumn("inverter_id", ID, KEY),
    timeColumn("observed_at", KEY),
    numberColumn("insulation_kohm", nonNegative),
    numberColumn("residual_current_ma", number({ min: 0, max: 1e7 })),
    numberColumn("dc_voltage_v", number({ min: -10_000, max: 10_000 })),
    numberColumn("ac_power_kw", number({ min: -1e6, max: 1e6 })),
  ],
};

const stations: FileSpec = {
  kind: "stations",
  table: "station",
  bySite: false,
  columns: [
    textColumn("station_id", keyText(100), KEY),
    textColumn("name", text(500)),
    numberColumn("latitude", number({ min: -90, max: 90 }), REQUIRED),
    numberColumn("longitude", number({ min: -180, max: 180 }), REQUIRED),
    numberColumn("elevation_m", number({ min: -500, max: 9000 })),
    textColumn("time_zone", timeZone),
    textColumn("aliases", listOf(null)),
  ],
};

const weather: FileSpec = {
  kind: "weather",
  table: "weather_month",
  bySite: false,
  columns: [
    textColumn("station_id", keyText(100), KEY),
    utcColumn("observed_at", KEY),
    numberColumn("precipitation_mm", number({ min: 0, max: 320 })),
    numberColumn("temperature_c", number({ min: -95, max: 65 })),
    numberColumn("dew_point_c", number({ min: -110, max: 45 })),
    numberColumn("relative_humidity_pct", number({ min: 0, max: 105 })),
    numberColumn("wind_m_s", number({ min: 0, max: 115 })),
    wholeColumn("thunder", number({ min: 0, max: 1, whole: true })),
  ],
  rules: [
    (value) =>
      value("observed_at")?.endsWith(":00:00.000Z")
        ? null
        : { column: "observed_at", reason: "not a full hour; weather is by the hour that ends at a full hour, UTC" },
  ],
};

const inspections: FileSpec = {
  kind: "inspections",
  table: "inspection",
  bySite: true,
  refersTo: ["site", "inverter", "section"],
  columns: [
    textColumn("site_id", ID, KEY),
    momentColumn("inspected_at", "inspected_day_only", KEY),
    textColumn("check", oneOf(r.CHECKS), KEY),
    textColumn("section_id", ID, EMPTY_KEY),
    textColumn("inverter_id", ID, EMPTY_KEY),
    textColumn("point_a", point, EMPTY_KEY),
    textColumn("point_b", point, EMPTY_KEY),
    textColumn("outcome", oneOf(r.OUTCOMES), REQUIRED),
    textColumn("value", text(100)),
    textColumn("unit", oneOf(r.READING_UNITS)),
    textColumn("quantity", oneOf(r.QUANTITIES), EMPTY_KEY),
    textColumn("meter_impedance", oneOf(r.METER_IMPEDANCES)),
    textColumn("method", oneOf(r.METHODS), EMPTY_KEY),
    numberColumn("test_voltage_v", number({ min: 0, max: 10_000 })),
    textColumn("surface", oneOf(r.SURFACES)),
    textColumn("system_state", oneOf(r.SYSTEM_STATES)),
    textColumn("instrument_serial", text(200)),
    dayColumn("calibrated_on", day),
    textColumn("inspector", text(500)),
    textColumn("inspector_licence", text(200)),
    textColumn("photo", text(2000)),
    textColumn("note", text()),
  ],
  rules: [valueFitsUnit],
};

/** A value is a number in its unit, or a conductor size where the unit is awg. Resistance is never negative. */
function valueFitsUnit(value: (column: string) => string | null): ReturnType<RowRule> {
  const v = value("value");
  const unit = value("unit");
  if (v === null) return null;
  if (unit === null) return { column: "unit", reason: "a value needs its unit" };
  const schema =
    unit === "awg" ? awg : unit === "volt" ? number({ min: -20_000, max: 20_000 }) : number({ min: 0, max: 1e12 });
  const parsed = schema.safeParse(v);
  return parsed.success ? null : { column: "value", reason: parsed.error.issues[0]?.message ?? "not a value" };
}

const repairs: FileSpec = {
  kind: "repairs",
  table: "repair",
  bySite: true,
  refersTo: ["site", "inverter", "section"],
  columns: [
    textColumn("site_id", ID, KEY),
    momentColumn("repaired_at", "repaired_day_only", KEY),
    textColumn("cause", oneOf(r.REPAIR_CAUSES), KEY),
    textColumn("section_id", ID),
    textColumn("inverter_id", ID),
    textColumn("action", text()),
    textColumn("confirmed", oneOf(r.CONFIRMED)),
    textColumn("tested_after", oneOf(r.TESTED_AFTER)),
  ],
};

const visits: FileSpec = {
  kind: "visits",
  table: "visit",
  bySite: true,
  refersTo: ["site"],
  columns: [
    textColumn("visit_id", ID, KEY),
    textColumn("site_id", ID, REQUIRED),
    timeColumn("promised_from"),
    timeColumn("promised_to"),
    textColumn("crew_id", ID),
    textColumn("status", oneOf(r.VISIT_STATUSES)),
    textColumn("note", text()),
  ],
  rules: [notBefore("promised_from", "promised_to")],
};

const crews: FileSpec = {
  kind: "crews",
  table: "crew",
  bySite: false,
  columns: [
    textColumn("crew_id", ID, KEY),
    textColumn("name", text(500), REQUIRED),
    numberColumn("base_latitude", number({ min: -90, max: 90 }), REQUIRED),
    numberColumn("base_longitude", number({ min: -180, max: 180 }), REQUIRED),
    textColumn("shift_start", timeOfDay, REQUIRED),
    textColumn("shift_end", timeOfDay, REQUIRED),
    textColumn("skills", listOf(r.SKILLS)),
    wholeColumn("people", number({ min: 0, max: 1000, whole: true })),
    wholeColumn("qualified_people", number({ min: 0, max: 1000, whole: true })),
    numberColumn("hourly_cost", nonNegative),
    numberColumn("cost_per_km", nonNegative),
    textColumn("work_days", listOf(r.WEEKDAYS)),
    textColumn("time_zone", timeZone, REQUIRED),
  ],
};

const coverage: FileSpec = {
  kind: "coverage",
  table: "coverage",
  bySite: true,
  refersTo: ["site"],
  columns: [
    textColumn("coverage_id", ID, KEY),
    textColumn("site_id", ID, REQUIRED),
    textColumn("kind", oneOf(r.COVERAGE_KINDS), REQUIRED),
    textColumn("provider", text(500)),
    dayColumn("starts_on", day, REQUIRED),
    dayColumn("ends_on", day, REQUIRED),
    numberColumn("limit_amount", nonNegative),
    numberColumn("deductible_amount", nonNegative),
    wholeColumn("notice_days", number({ min: 0, max: 36_500, whole: true })),
    textColumn("notice_to", text(500)),
    textColumn("policy_number", text(200)),
    textColumn("currency", currency),
    textColumn("limit_basis", oneOf(r.LIMIT_BASES)),
    textColumn("trigger", oneOf(r.COVERAGE_TRIGGERS)),
    wholeColumn("proof_of_loss_days", number({ min: 0, max: 36_500, whole: true })),
    wholeColumn("suit_limit_months", number({ min: 0, max: 1200, whole: true })),
    textColumn("excludes", listOf(null)),
    textColumn("conditions", listOf(r.COVERAGE_CONDITIONS)),
  ],
  rules: [notBefore("starts_on", "ends_on")],
};

/** The files of the contract, in the order in which a drop is applied. */
export const CONTRACT_FILES: readonly FileSpec[] = [
  sites,
  inverters,
  sections,
  codes,
  faults,
  telemetry,
  readings,
  stations,
  weather,
  inspections,
  repairs,
  visits,
  crews,
  coverage,
];
