import { CAUSES, type Cause } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import { learnBaseRates, type VisitOutcome } from "./learning.ts";
import { changedRows, withOverrides } from "./parameter-overrides.ts";
import { type ParameterTable, parameter, valuesOf } from "./parameters.ts";

/** A version as its history tells it. */
export interface VersionStep {
  version: number;
  /** 0: the defaults. */
  parent: number;
  kind: "edited" | "learned" | "rolled_back";
  restores: number | null;
  table: ParameterTable;
}

/**
 * The table as people set it: with every step that was learned taken out. Learning starts from here with all outcomes
 * each time, so that no outcome is counted twice however often its lesson is accepted.
 * @param steps every version, in any order
 */
export function unlearnedTable(
  steps: readonly VersionStep[],
  version: number,
  defaults: ParameterTable,
): ParameterTable {
  const byVersion = new Map(steps.map((step) => [step.version, step]));
  const edits: VersionStep[] = [];
  let at = version;
  for (let step = byVersion.get(at); step; step = byVersion.get(at)) {
    if (step.kind === "edited") edits.push(step);
    at = step.kind === "rolled_back" ? (step.restores ?? 0) : step.parent;
  }
  return edits.reduceRight((table, { parent, table: after }) => {
    const before = byVersion.get(parent)?.table ?? defaults;
    const rows = new Map(after.rows.map((row) => [row.key, row]));
    const changed = changedRows(before, after).flatMap(({ key }) => {
      const row = rows.get(key);
      return row ? [[key, { value: row.value, spread: row.spread, provenance: row.provenance }] as const] : [];
    });
    return withOverrides(table, Object.fromEntries(changed), table.version);
  }, defaults);
}

/** An outcome with the table that its statement was made with. */
export interface StatedOutcome extends VisitOutcome {
  statedWith: ParameterTable;
}

/**
 * What confirmed visits teach about base rates, over the table as people set it. Statements made with another table are
 * first brought to that one's base rates: a base rate adds to the log odds of its cause.
 * @returns the current table with the base rates learned anew
 */
export function learnFrom(
  current: ParameterTable,
  unlearned: ParameterTable,
  outcomes: readonly StatedOutcome[],
): ParameterTable {
  const base = valuesOf(unlearned);
  const shifted = outcomes.map(({ statedWith, ...outcome }) => {
    const then = valuesOf(statedWith);
    const stated = Object.fromEntries(
      CAUSES.map((cause) => {
        const shift = logit(parameter(base, `prior.${cause}`)) - logit(parameter(then, `prior.${cause}`));
        const p = Math.min(1 - 1e-9, Math.max(1e-9, outcome.stated[cause]));
        return [cause, expit(logit(p) + shift)];
      }),
    ) as Record<Cause, number>;
    return { ...outcome, stated };
  });
  const learned = learnBaseRates(unlearned, shifted, "learned");
  const rows = new Map(learned.rows.filter(({ key }) => key.startsWith("prior.")).map((row) => [row.key, row]));
  return { version: "learned", rows: current.rows.map((row) => rows.get(row.key) ?? row) };
}
