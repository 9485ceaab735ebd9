import { CHECKS } from "../../lib/core/records.ts";
import { eventSummary } from "../../lib/diagnose/event-summary.ts";
import { RATE_STATES } from "../../lib/diagnose/parameters.ts";
import { siteAttributes } from "../../lib/diagnose/prior.ts";
import type { StudyCase } from "./study-world.ts";

const ATTRIBUTES = [
  "several_sections",
  "bond_not_recorded",
  "bond_recorded",
  "bond_method_none",
  "hardware_unlisted",
  "hardware_unknown",
  "hardware_listed",
  "array_electrode_not_bonded",
  "array_electrode_unknown",
  "array_electrode_none_or_bonded",
  "battery_separate_electrode",
  "near_coast",
  "decade_of_age",
];

/** Everything that the diagnosis looks at, as plain columns. A missing one is 0 beside a column that says so. */
export function siteFeatures({ input }: StudyCase): number[] {
  const { records, correlation, asOf } = input;
  const attributes = siteAttributes(records, asOf);
  const { signature: s, units } = eventSummary(records, correlation, asOf);
  const share = (hits: number, n: number) => [(hits + 0.5) / (n + 1), Math.log1p(n)];
  const log = RATE_STATES.flatMap((state) => {
    const { episodes, unitHours } = correlation.byState[state];
    return [Math.log1p(episodes), Math.log((episodes + 0.5) / (unitHours + 500))];
  });
  const found = CHECKS.flatMap((check) => {
    const rows = records.inspections.filter((i) => i.check === check);
    const value = rows.map((i) => Number(i.value)).find((v) => v > 0);
    return [
      rows.some((i) => i.outcome === "fail") ? 1 : 0,
      rows.length > 0 ? 1 : 0,
      ...(check.endsWith("resistance") || check === "section_potential" ? [value ? Math.log(value) : 0] : []),
    ];
  });
  return [
    ...ATTRIBUTES.map((name) => attributes.get(name) ?? 0),
    units,
    ...log,
    ...share(s.cleared, s.clearable),
    ...share(s.several, s.severable),
    ...share(s.late, s.afterRain),
    ...share(s.atDawn, s.dawnable),
    ...found,
  ];
}

/** Logarithm of the count of ground-fault episodes. */
export const countFeature = ({ input }: StudyCase): number[] => [Math.log1p(input.correlation.episodes.length)];

/** Share of episodes that began wet. */
export function wetFeature({ input }: StudyCase): number[] {
  const { episodes } = input.correlation;
  const wet = episodes.filter((e) => e.state === "rain" || e.state === "dew").length;
  return [(wet + 0.5) / (episodes.length + 1)];
}
