import { CAUSES, type Cause } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import { MEMBERS } from "./configurations.ts";
import type { EventBasis } from "./event-basis.ts";
import { isInspectorKey } from "./inspector-key.ts";
import { type JudgedCheck, learnChecks } from "./learn-checks.ts";
import { learnRates } from "./learn-rates.ts";
import { learnBaseRates, type VisitOutcome } from "./learning.ts";
import { changedRows, withOverrides } from "./parameter-overrides.ts";
import { type ParameterTable, type ParameterValues, parameter, valuesOf } from "./parameters.ts";

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

/** An outcome with the table that its statement was made with, and what the statement was computed from. */
export interface StatedOutcome extends VisitOutcome {
  statedWith: ParameterTable;
  /** Null: the site had no log, or the statement is older than this program's keeping of it. */
  basis: EventBasis | null;
}

/** Rows that learning may move. */
const LEARNED = /^(prior|rate|check)\./;
/** Rates are learned from the newest of them: older statements add little, and each costs. */
const MOST_COUNTED = 300;

/**
 * What confirmed visits teach, over the table as people set it: base rates, rates of onsets, how well checks find and
 * how far each inspector differs. Statements made with another table are first brought to that one's base rates: a base
 * rate adds to the log odds of its cause.
 * @param outcomes oldest first
 * @returns the current table with everything learned anew
 */
export function learnFrom(
  current: ParameterTable,
  unlearned: ParameterTable,
  outcomes: readonly StatedOutcome[],
  checks: readonly JudgedCheck[],
): ParameterTable {
  const base = valuesOf(unlearned);
  const shifted = outcomes.map(({ statedWith, basis: _, ...outcome }) => {
    const shift = priorShift(valuesOf(statedWith), base);
    const stated = Object.fromEntries(
      CAUSES.map((cause, c) => {
        const p = Math.min(1 - 1e-9, Math.max(1e-9, outcome.stated[cause]));
        return [cause, expit(logit(p) + (shift[c] as number))];
      }),
    ) as Record<Cause, number>;
    return { ...outcome, stated };
  });
  const learned = learnBaseRates(unlearned, shifted, "learned");
  const counted = outcomes.slice(-MOST_COUNTED).flatMap((outcome) => {
    const { basis } = outcome;
    return basis ? [{ outcome, basis: withPriors(basis, valuesOf(outcome.statedWith), valuesOf(learned)) }] : [];
  });
  const moved = [...learnRates(learned, counted), ...learnChecks(unlearned, checks)];
  const rows = new Map([...learned.rows, ...moved].map((row) => [row.key, row]));
  return {
    version: "learned",
    rows: [
      ...current.rows
        .filter(({ key }) => !isInspectorKey(key))
        .map((row) => (LEARNED.test(row.key) ? (rows.get(row.key) ?? row) : row)),
      ...moved.filter(({ key }) => isInspectorKey(key)),
    ],
  };
}

/** Log odds from the base rates of one table to those of another, in the order of CAUSES. */
function priorShift(from: ParameterValues, to: ParameterValues): Float64Array {
  return Float64Array.from(
    CAUSES,
    (cause) => logit(parameter(to, `prior.${cause}`)) - logit(parameter(from, `prior.${cause}`)),
  );
}

function withPriors(basis: EventBasis, from: ParameterValues, to: ParameterValues): EventBasis {
  const shift = priorShift(from, to);
  const elsewhere = basis.elsewhere.map((log, k) =>
    (MEMBERS[k] as readonly number[]).reduce((sum, c) => sum + (shift[c] as number), log),
  );
  return { ...basis, elsewhere };
}
