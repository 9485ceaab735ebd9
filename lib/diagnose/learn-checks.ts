import { CAUSES, type Check } from "../core/records.ts";
import { expit, logit } from "../core/statistics.ts";
import { inspectorKey } from "./inspector-key.ts";
import { type ParameterRow, type ParameterTable, parameter, valuesOf } from "./parameters.ts";

/** One check that somebody did, beside what is known of the place from everything but this check. */
export interface JudgedCheck {
  check: Check;
  fails: boolean;
  /** Null: nobody signed it. */
  inspector: string | null;
  /**
   * Chance that each cause was at the place of the check, in the order of CAUSES: as stated before the check, and near
   * certain where a repair that followed confirmed it or ruled it out.
   */
  presence: Float64Array;
}

const ROUNDS = 60;
/** A log odds that moves less is left as it was: nothing a site shows would. */
const LEAST_MOVE = 0.02;
const SETTLED = 1e-5;
/** Below this a cause was not there, and its absence is not counted as a trial. */
const ABSENT = 1e-6;

interface Causal {
  cause: number;
  row: ParameterRow;
  /** Log odds that the check finds it. */
  at: number;
}
interface Learned {
  causes: Causal[];
  alarm: { row: ParameterRow; at: number };
}
interface Shift {
  sensitivity: number;
  falsePositive: number;
}
const NO_SHIFT: Shift = { sensitivity: 0, falsePositive: 0 };

/** Expected successes of expected trials at a log odds before an inspector's own shift. */
interface Tally {
  at: number;
  hits: number;
  trials: number;
}

/**
 * How well each check finds its causes and how often it cries wolf, for the fleet and for each inspector, from checks at
 * places of which more is known than the check itself said.
 *
 * Whether a repair followed depends on what the check said, so counting checks that a repair confirmed would flatter
 * them. Here a check that nothing followed counts too, as much for a cause as the cause was held likely before it.
 * A failed check is shared among the causes that may have made it fail, and chance (a noisy or, by EM).
 *
 * @returns rows `check.*` that moved, and for each inspector two rows of log odds to add to the fleet's: none where
 *   nobody signed. Shrunk to the table by its own spreads, and an inspector to the fleet by `inspector.spread`.
 * @shape deterministic; O(rounds x checks x causes)
 * @source noisy-or, EM: Vomlel 2006, Noisy-or classifier (from memory)
 */
export function learnChecks(table: ParameterTable, checks: readonly JudgedCheck[]): ParameterRow[] {
  if (checks.length === 0) return [];
  const spread = parameter(valuesOf(table), "inspector.spread");
  const fleet = startingFrom(table, checks);
  const inspectors = new Map<string, Shift>();
  for (const { inspector } of checks) if (inspector !== null) inspectors.set(inspector, NO_SHIFT);
  for (let round = 0; round < ROUNDS; round++) {
    const moved = oneRound(fleet, inspectors, checks, spread);
    if (moved < SETTLED) break;
  }
  return [...fleetRows(fleet, inspectors, checks), ...inspectorRows(fleet, inspectors, checks, spread)];
}

function startingFrom(table: ParameterTable, checks: readonly JudgedCheck[]): Map<Check, Learned> {
  const rows = new Map(table.rows.map((row) => [row.key, row]));
  const fleet = new Map<Check, Learned>();
  for (const { check } of checks) {
    if (fleet.has(check)) continue;
    const alarm = rows.get(`check.${check}.falsePositive`);
    if (!alarm) throw new RangeError(`the parameter table has no row "check.${check}.falsePositive"`);
    const causes = CAUSES.flatMap((name, cause) => {
      const row = rows.get(`check.${check}.${name}`);
      return row ? [{ cause, row, at: logit(row.value) }] : [];
    });
    fleet.set(check, { causes, alarm: { row: alarm, at: logit(alarm.value) } });
  }
  return fleet;
}

/** What one check adds to the tallies of its causes and of false alarms, under the present values. */
function expectation({ fails, presence }: JudgedCheck, { causes, alarm }: Learned, shift: Shift) {
  const finds = causes.map(({ cause, at }) => ({
    there: presence[cause] as number,
    sees: expit(at + shift.sensitivity),
  }));
  const cries = expit(alarm.at + shift.falsePositive);
  const quiet = finds.reduce((p, { there, sees }) => p * (1 - there * sees), 1 - cries);
  const fail = Math.max(1e-12, 1 - quiet);
  const parts = finds.map(({ there, sees }) => {
    if (there < ABSENT) return { hits: 0, trials: 0 };
    if (!fails) return { hits: 0, trials: (there * (1 - sees)) / (1 - there * sees) };
    const others = quiet / (1 - there * sees);
    return { hits: (there * sees) / fail, trials: (there * sees + there * (1 - sees) * (1 - others)) / fail };
  });
  return { parts, alarm: { hits: fails ? cries / fail : 0, trials: 1 } };
}

function oneRound(
  fleet: Map<Check, Learned>,
  inspectors: Map<string, Shift>,
  checks: readonly JudgedCheck[],
  spread: number,
): number {
  const ofFleet = new Map<ParameterRow, { shift: number; hits: number; trials: number }[]>();
  const ofInspector = new Map<string, { sensitivity: Tally[]; falsePositive: Tally[] }>();
  for (const each of checks) {
    const own = fleet.get(each.check) as Learned;
    const shift = shiftOf(inspectors, each.inspector);
    const { parts, alarm } = expectation(each, own, shift);
    const signed = each.inspector === null ? null : talliesOf(ofInspector, each.inspector);
    own.causes.forEach(({ row, at }, i) => {
      const part = parts[i] as { hits: number; trials: number };
      add(ofFleet, row, { shift: shift.sensitivity, ...part });
      signed?.sensitivity.push({ at, ...part });
    });
    add(ofFleet, own.alarm.row, { shift: shift.falsePositive, ...alarm });
    signed?.falsePositive.push({ at: own.alarm.at, ...alarm });
  }
  let moved = 0;
  const settle = (row: ParameterRow, at: number) => {
    const tallies = (ofFleet.get(row) ?? []).map(({ shift, hits, trials }) => ({ at: shift, hits, trials }));
    const next = row.spread > 0 ? mode(tallies, logit(row.value), row.spread) : at;
    moved = Math.max(moved, Math.abs(next - at));
    return next;
  };
  for (const own of fleet.values()) {
    for (const cause of own.causes) cause.at = settle(cause.row, cause.at);
    own.alarm.at = settle(own.alarm.row, own.alarm.at);
  }
  for (const [name, { sensitivity, falsePositive }] of ofInspector) {
    const before = shiftOf(inspectors, name);
    const next = { sensitivity: mode(sensitivity, 0, spread), falsePositive: mode(falsePositive, 0, spread) };
    moved = Math.max(
      moved,
      Math.abs(next.sensitivity - before.sensitivity),
      Math.abs(next.falsePositive - before.falsePositive),
    );
    inspectors.set(name, next);
  }
  return moved;
}

const shiftOf = (inspectors: ReadonlyMap<string, Shift>, name: string | null): Shift =>
  (name === null ? undefined : inspectors.get(name)) ?? NO_SHIFT;

function talliesOf(all: Map<string, { sensitivity: Tally[]; falsePositive: Tally[] }>, name: string) {
  const own = all.get(name) ?? { sensitivity: [], falsePositive: [] };
  all.set(name, own);
  return own;
}

function add<K, V>(to: Map<K, V[]>, key: K, value: V): void {
  const list = to.get(key);
  if (list) list.push(value);
  else to.set(key, [value]);
}

/** Where hits of trials, each at its own log odds plus one unknown, balance a normal prior: the posterior's mode. */
function mode(tallies: readonly Tally[], prior: number, spread: number): number {
  let low = prior - 12;
  let high = prior + 12;
  // The slope falls steadily, so bisection cannot miss its only root.
  for (let i = 0; i < 50; i++) {
    const mid = (low + high) / 2;
    const slope = tallies.reduce(
      (sum, { at, hits, trials }) => sum + hits - trials * expit(at + mid),
      -(mid - prior) / spread ** 2,
    );
    if (slope > 0) low = mid;
    else high = mid;
  }
  return (low + high) / 2;
}

/** What is left of a spread after trials at these log odds. */
function leftSpread(tallies: readonly Tally[], at: number, spread: number): number {
  const information = tallies.reduce(
    (sum, t) => sum + t.trials * expit(t.at + at) * expit(-t.at - at),
    spread > 0 ? 1 / spread ** 2 : 0,
  );
  return spread > 0 ? 1 / Math.sqrt(information) : 0;
}

function fleetRows(
  fleet: Map<Check, Learned>,
  inspectors: ReadonlyMap<string, Shift>,
  checks: readonly JudgedCheck[],
): ParameterRow[] {
  const done = new Map<Check, number>();
  const tallies = new Map<ParameterRow, Tally[]>();
  for (const each of checks) {
    const own = fleet.get(each.check) as Learned;
    done.set(each.check, (done.get(each.check) ?? 0) + 1);
    const shift = shiftOf(inspectors, each.inspector);
    const { parts, alarm } = expectation(each, own, shift);
    own.causes.forEach(({ row }, i) => {
      add(tallies, row, { at: shift.sensitivity, ...(parts[i] as { hits: number; trials: number }) });
    });
    add(tallies, own.alarm.row, { at: shift.falsePositive, ...alarm });
  }
  return [...fleet].flatMap(([check, { causes, alarm }]) =>
    [...causes, alarm]
      .filter(({ row, at }) => row.spread > 0 && Math.abs(at - logit(row.value)) >= LEAST_MOVE)
      .map(({ row, at }) => ({
        ...row,
        value: expit(at),
        spread: leftSpread(tallies.get(row) ?? [], at, row.spread),
        provenance: {
          kind: row.provenance.kind,
          source: `${row.provenance.source}; moved by ${done.get(check)} checks beside what was confirmed`,
        },
      })),
  );
}

function inspectorRows(
  fleet: Map<Check, Learned>,
  inspectors: ReadonlyMap<string, Shift>,
  checks: readonly JudgedCheck[],
  spread: number,
): ParameterRow[] {
  return [...inspectors]
    .sort(([a], [b]) => (a < b ? -1 : 1))
    .flatMap(([name, shift]) => {
      const own = checks.filter(({ inspector }) => inspector === name);
      const sensitivity: Tally[] = [];
      const falsePositive: Tally[] = [];
      for (const each of own) {
        const learned = fleet.get(each.check) as Learned;
        const { parts, alarm } = expectation(each, learned, shift);
        learned.causes.forEach(({ at }, i) => {
          sensitivity.push({ at, ...(parts[i] as { hits: number; trials: number }) });
        });
        falsePositive.push({ at: learned.alarm.at, ...alarm });
      }
      const row = (kind: keyof Shift, tallies: readonly Tally[]): ParameterRow => ({
        key: inspectorKey(name, kind),
        value: shift[kind],
        unit: "log odds",
        spread: leftSpread(tallies, shift[kind], spread),
        provenance: { kind: "judgement", source: `learned from ${own.length} checks beside what was confirmed` },
      });
      return [row("sensitivity", sensitivity), row("falsePositive", falsePositive)].filter(
        ({ value }) => Math.abs(value) >= LEAST_MOVE,
      );
    });
}
