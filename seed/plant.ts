import type { Cause } from "../lib/core/records.ts";

/** What is planted at a site of the demo. `noisy` trips a lot for no weather reason; `healthy` hardly ever. */
export type Planted =
  | { kind: "healthy" | "noisy"; causes: readonly Cause[] }
  | { kind: Cause; causes: readonly Cause[] };

/** Onsets per lit hour in the demo's world: dry, rain or standing rain water, dew, thunder; share that clears on drying,
 * share that trips every inverter, hours of lag after rain. Deliberately not the product's parameters. */
export const PLANT_RATES: Record<
  string,
  {
    dry: number;
    rain: number;
    dew: number;
    thunder: number;
    clears: number;
    several: number;
    lag: [number, number];
    dawn: number;
  }
> = {
  open_section_bond: {
    dry: 0.0006,
    rain: 0.017,
    dew: 0.008,
    thunder: 0.015,
    clears: 0.85,
    several: 0.65,
    lag: [0, 0],
    dawn: 0,
  },
  high_resistance_bond: {
    dry: 0.0005,
    rain: 0.009,
    dew: 0.004,
    thunder: 0.008,
    clears: 0.75,
    several: 0.25,
    lag: [0, 0],
    dawn: 0,
  },
  isolated_electrode: {
    dry: 0.0003,
    rain: 0.003,
    dew: 0.001,
    thunder: 0.012,
    clears: 0.5,
    several: 0.5,
    lag: [0, 1],
    dawn: 0,
  },
  egc_undersized: { dry: 0, rain: 0, dew: 0, thunder: 0, clears: 0.5, several: 0.2, lag: [0, 0], dawn: 0 },
  egc_broken: { dry: 0.0004, rain: 0.004, dew: 0.002, thunder: 0.005, clears: 0.5, several: 0.3, lag: [0, 0], dawn: 0 },
  conductor_insulation: {
    dry: 0.0009,
    rain: 0.012,
    dew: 0.005,
    thunder: 0.011,
    clears: 0.7,
    several: 0.1,
    lag: [0, 1],
    dawn: 0,
  },
  connector_ingress: {
    dry: 0.0005,
    rain: 0.013,
    dew: 0.004,
    thunder: 0.01,
    clears: 0.5,
    several: 0.08,
    lag: [2, 7],
    dawn: 0.1,
  },
  module_insulation: {
    dry: 0.001,
    rain: 0.006,
    dew: 0.014,
    thunder: 0.005,
    clears: 0.6,
    several: 0.25,
    lag: [0, 0],
    dawn: 0.6,
  },
  surge_damage: {
    dry: 0.0014,
    rain: 0.002,
    dew: 0.0014,
    thunder: 0.05,
    clears: 0.1,
    several: 0.2,
    lag: [0, 0],
    dawn: 0,
  },
  detector_fault: {
    dry: 0.0035,
    rain: 0.0035,
    dew: 0.0035,
    thunder: 0.004,
    clears: 0.15,
    several: 0.03,
    lag: [0, 0],
    dawn: 0.15,
  },
  noisy: { dry: 0.0026, rain: 0.003, dew: 0.0026, thunder: 0.004, clears: 0.3, several: 0.1, lag: [0, 0], dawn: 0.1 },
  healthy: {
    dry: 0.00012,
    rain: 0.0003,
    dew: 0.0002,
    thunder: 0.0006,
    clears: 0.4,
    several: 0.1,
    lag: [0, 0],
    dawn: 0,
  },
};

/** How many sites of 120 carry what; the rest are healthy. Other fleet sizes scale. */
const QUOTA: [Planted["kind"], readonly Cause[], number][] = [
  ["open_section_bond", ["open_section_bond"], 9],
  ["open_section_bond", ["open_section_bond", "conductor_insulation"], 3],
  ["high_resistance_bond", ["high_resistance_bond"], 7],
  ["connector_ingress", ["connector_ingress"], 9],
  ["module_insulation", ["module_insulation"], 6],
  ["isolated_electrode", ["isolated_electrode"], 5],
  ["egc_undersized", ["egc_undersized"], 6],
  ["egc_broken", ["egc_broken"], 2],
  ["conductor_insulation", ["conductor_insulation"], 4],
  ["surge_damage", ["surge_damage"], 3],
  ["detector_fault", ["detector_fault"], 8],
  ["noisy", [], 8],
];

/** What each of `sites` carries, in order; shuffling is the caller's. */
export function plantList(sites: number): Planted[] {
  const out: Planted[] = [];
  for (const [kind, causes, of120] of QUOTA) {
    const n = Math.max(1, Math.round((of120 * sites) / 120));
    for (let i = 0; i < n && out.length < sites; i++) out.push({ kind, causes } as Planted);
  }
  while (out.length < sites) out.push({ kind: "healthy", causes: [] });
  return out;
}
