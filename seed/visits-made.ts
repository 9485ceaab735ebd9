import { integerBelow, normalDeviate, type Rng, seededRng } from "../lib/core/random.ts";
import type { Cause, Check } from "../lib/core/records.ts";
import { HOUR } from "./sky.ts";
import type { DemoSection, DemoSite, DemoWorld } from "./world.ts";

/** A row of inspections.csv or repairs.csv by column; absent: empty. */
export type Cells = Record<string, string>;

const DAY = 24 * HOUR;
const iso = (at: number) => new Date(Math.floor(at / 60_000) * 60_000).toISOString().replace(".000", "");
/** How often each inspector finds what is there, and sees what is not. */
const INSPECTORS: [string, number, number][] = [
  ["Inspector 1", 0.85, 0.02],
  ["Inspector 2", 0.6, 0.04],
  ["Inspector 3", 0.4, 0.08],
];

const SHOWS: Partial<Record<Cause, Check[]>> = {
  open_section_bond: ["section_jumper", "all_metal_bonded"],
  high_resistance_bond: ["bare_metal_contact", "listed_hardware"],
  isolated_electrode: ["electrode_bonded"],
  egc_undersized: ["egc_size"],
  egc_broken: ["egc_continuous"],
  conductor_insulation: ["conductor_condition"],
  connector_ingress: ["connector_condition", "enclosure_dry"],
  surge_damage: ["surge_protection"],
};
const LOOKED_AT: Check[] = [
  "section_jumper",
  "bare_metal_contact",
  "egc_continuous",
  "electrode_bonded",
  "connector_condition",
  "enclosure_dry",
  "conductor_condition",
];

/** Inspections of a site: many passes that miss, some fails, some `unable`, some measured well and some badly. */
export function siteInspections(world: DemoWorld, site: DemoSite): Cells[] {
  const rng = seededRng(`${world.options.seed}/inspections/${site.siteId}`);
  const visits = rng() < 0.35 ? 0 : 1 + integerBelow(rng, 2);
  const rows: Cells[] = [];
  for (let v = 0; v < visits; v++) rows.push(...oneVisit(world, site, rng));
  rows.push(...hazardRows(world, site));
  return rows;
}

function oneVisit(world: DemoWorld, site: DemoSite, rng: Rng): Cells[] {
  const at =
    world.end -
    (20 + integerBelow(rng, Math.max(1, world.options.days - 60))) * DAY +
    (15 + integerBelow(rng, 5)) * HOUR;
  const [inspector, finds, cries] = INSPECTORS[integerBelow(rng, INSPECTORS.length)] as (typeof INSPECTORS)[number];
  const surface = rng() < 0.8 ? "dry" : "wet";
  const base: Cells = {
    site_id: site.siteId,
    inspected_at: iso(at),
    inspector,
    inspector_licence: "EX-0000",
    surface,
    system_state: "running",
  };
  const present = new Set(site.planted.causes.flatMap((c) => SHOWS[c] ?? []));
  const rows = LOOKED_AT.filter(() => rng() < 0.7).map((check) => {
    const outcome = rng() < 0.06 ? "unable" : rng() < (present.has(check) ? finds : cries) ? "fail" : "pass";
    return { ...base, check, outcome };
  });
  const seen = rows.map((r) => r.check);
  for (const check of present)
    if (!seen.includes(check) && rng() < 0.5) rows.push({ ...base, check, outcome: rng() < finds ? "fail" : "pass" });
  return [...rows, ...measurements(site, base, rng)];
}

function measurements(site: DemoSite, base: Cells, rng: Rng): Cells[] {
  const rows: Cells[] = [];
  const instrument = { instrument_serial: `M-${100 + integerBelow(rng, 9)}`, calibrated_on: "2026-02-01" };
  const has = (c: Cause) => site.planted.causes.includes(c);
  const around = (median: number, spread = 0.5) => Math.max(0.01, median * Math.exp(spread * normalDeviate(rng)));
  const section = site.sections[integerBelow(rng, site.sections.length)] as DemoSection;
  const points = { section_id: section.sectionId, point_a: `section:${section.sectionId}`, point_b: "ground_bus" };
  const shows = rng() < (base.surface === "wet" ? 0.9 : 0.6);
  if (rng() < 0.45) {
    const volts =
      has("open_section_bond") && shows ? around(5) : has("high_resistance_bond") && shows ? around(1) : around(0.2);
    rows.push({
      ...base,
      ...instrument,
      ...points,
      check: "section_potential",
      outcome: volts >= 15 ? "fail" : "pass",
      value: Math.min(volts, 12).toFixed(2),
      unit: "volt",
      quantity: "ac_rms",
      meter_impedance: "high",
    });
  }
  if (rng() < 0.5) {
    const ohms =
      has("open_section_bond") && shows ? around(4) : has("high_resistance_bond") && shows ? around(0.8) : around(0.05);
    const method = rng() < 0.6 ? "four_wire" : "two_lead";
    rows.push({
      ...base,
      ...instrument,
      ...points,
      check: "bond_resistance",
      outcome: ohms > 1 ? "fail" : "pass",
      value: ohms.toFixed(3),
      unit: "ohm",
      method,
    });
  }
  if (rng() < 0.35) {
    const leak = ["conductor_insulation", "connector_ingress", "module_insulation"].some((c) => has(c as Cause));
    const megohm = leak && shows ? around(1.2) : around(25);
    rows.push({
      ...base,
      ...instrument,
      check: "insulation_resistance",
      inverter_id: section.inverterId,
      outcome: megohm < 1 ? "fail" : "pass",
      value: megohm.toFixed(2),
      unit: "megohm",
      method: "insulation_2",
      test_voltage_v: "1000",
    });
  }
  return rows;
}

function hazardRows(world: DemoWorld, site: DemoSite): Cells[] {
  const base: Cells = {
    site_id: site.siteId,
    inspected_at: iso(world.end - 9 * DAY - 5 * HOUR),
    inspector: "Inspector 1",
    inspector_licence: "EX-0000",
    system_state: "running",
  };
  const [a, b] = site.sections;
  if (site.hazard === "volts" && a && b) {
    return [
      {
        ...base,
        check: "section_potential",
        section_id: a.sectionId,
        point_a: `section:${a.sectionId}`,
        point_b: `section:${b.sectionId}`,
        outcome: "fail",
        value: "38",
        unit: "volt",
        quantity: "dc",
        meter_impedance: "high",
        surface: "damp",
        note: "Backed off, reported by phone.",
      },
    ];
  }
  if (site.hazard === "open_egc")
    return [
      {
        ...base,
        check: "egc_continuous",
        inverter_id: site.inverters[0] as string,
        outcome: "fail",
        note: "Conductor found parted at the fitting.",
      },
    ];
  return [];
}

/** Repairs: some hit the cause, some another one, most were tested badly. */
export function siteRepairs(world: DemoWorld, site: DemoSite): Cells[] {
  const rng = seededRng(`${world.options.seed}/repairs/${site.siteId}`);
  if (site.planted.causes.length === 0 || rng() > 0.22) return [];
  const repaired_at = new Date(world.end - (60 + integerBelow(rng, 300)) * DAY).toISOString().slice(0, 10);
  const wrong = rng() < 0.8;
  const cause = wrong
    ? (["connector_ingress", "none_found", "detector_fault"][integerBelow(rng, 3)] as string)
    : (site.planted.causes[0] as string);
  // The planted defect stays: a repair that hit it would make the site's truth a matter of dates.
  return [
    {
      site_id: site.siteId,
      repaired_at,
      cause,
      action: "Replaced and re-torqued.",
      confirmed: "no",
      tested_after: wrong ? "none" : "insulation",
    },
  ];
}
