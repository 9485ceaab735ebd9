import "server-only";
import { z } from "zod";
import { authorise, may } from "../core/permissions.ts";
import { ACCOUNT_PARAMETERS } from "../coverage/account-parameters.ts";
import { changedRows } from "../diagnose/parameter-overrides.ts";
import { type LearnedTable, learnedTable } from "../jobs/learning.ts";
import { previewScores } from "../jobs/preview-scores.ts";
import type { Actor } from "../store/actor.ts";
import { parameterTable, parameterVersion, parameterVersions } from "../store/parameter-versions.ts";
import { readTransaction, type Sql } from "../store/transaction.ts";
import { editedTable, ParameterChanges } from "./edited-table.ts";
import type { ParametersView, PreviewView } from "./parameters-view.ts";

/** Every row of the table in force, its history, and what confirmed visits propose. */
export async function readParameters(actor: Actor): Promise<ParametersView> {
  authorise(actor, "parameters.read");
  return readTransaction(actor, async (tx) => {
    const versions = await parameterVersions(tx);
    const [newest] = versions;
    const current = parameterTable(newest ?? null);
    const defaults = new Map(ACCOUNT_PARAMETERS.rows.map((row) => [row.key, row]));
    const tables = new Map(versions.map((row) => [row.version, parameterTable(row)]));
    const learned = await learnedTable(tx, current);
    const [count] = await tx<{ n: number }[]>`SELECT count(*)::int AS n FROM site WHERE account_id = current_account()`;
    return {
      version: newest?.version ?? 0,
      name: current.version,
      mayEdit: may(actor, "parameters.write"),
      sites: count?.n ?? 0,
      rows: current.rows.map((row) => {
        const { value, spread } = defaults.get(row.key) ?? row;
        return { ...row, default: { value, spread } };
      }),
      history: versions.map((row) => ({
        version: row.version,
        parent: row.parent ?? 0,
        kind: row.kind,
        restores: row.restores,
        reason: row.reason,
        person: row.person,
        createdAt: row.created_at.toISOString(),
        changes: changedRows(tables.get(row.parent ?? 0) ?? ACCOUNT_PARAMETERS, parameterTable(row)),
      })),
      learning: {
        outcomes: learned.outcomes.length,
        withoutScore: learned.withoutScore,
        changes: changedRows(current, learned.table).map((change) => ({
          ...change,
          restsOn: restsOn(change.key, learned),
        })),
      },
    };
  });
}

const counted = (n: number, one: string) => `${n} ${n === 1 ? one : `${one}s`}`;

/** What a learned row rests on. */
function restsOn(key: string, { outcomes, checks }: LearnedTable): string {
  const [kind = "", name = ""] = key.split(".");
  if (kind === "prior") {
    const looked = outcomes.filter((o) => (o.lookedFor as readonly string[]).includes(name));
    const found = looked.filter((o) => (o.found as readonly string[]).includes(name));
    return `found at ${found.length} of ${counted(looked.length, "visit")} that looked for it`;
  }
  if (kind === "rate")
    return `${counted(outcomes.filter((o) => o.basis !== null).length, "visit")} to sites with a log`;
  if (kind === "check") return counted(checks.filter((c) => c.check === name).length, "check");
  const person = key.slice("inspector.".length, key.lastIndexOf("."));
  return `${counted(checks.filter((c) => c.inspector === person).length, "check")} by ${person}`;
}

/** Sites of one step, and of the whole sample: enough to judge by, few enough to wait for. */
const STEP = 12;
const MOST_SITES = 240;
/** A probability that moves less than this is shown the same. */
const SHOWN = 0.005;

export const PreviewBody = z.object({
  /** Rows changed by hand, an earlier version to go back to, or what was learned. */
  change: z.discriminatedUnion("kind", [
    z.object({ kind: z.literal("edited"), changes: ParameterChanges }),
    z.object({ kind: z.literal("rolled_back"), to: z.number().int().min(0) }),
    z.object({ kind: z.literal("learned") }),
  ]),
  from: z.number().int().min(0),
});
export type PreviewBody = z.infer<typeof PreviewBody>;

/** Sites spread evenly over the account's, the same ones at every step. */
async function sample(tx: Sql): Promise<{ ids: string[]; fleet: number }> {
  const rows = await tx<
    { site_id: string }[]
  >`SELECT site_id FROM site WHERE account_id = current_account() ORDER BY site_id`;
  const all = rows.map((row) => row.site_id);
  const n = Math.min(MOST_SITES, all.length);
  return {
    ids: Array.from({ length: n }, (_, i) => all[Math.floor((i * all.length) / n)] as string),
    fleet: all.length,
  };
}

/** One step of what would move with another table; nothing is stored. Ask again from `done` until it is `total`. */
export async function readPreview(actor: Actor, { change, from }: PreviewBody): Promise<PreviewView> {
  authorise(actor, "parameters.read");
  const { table, ids, fleet } = await readTransaction(actor, async (tx) => {
    const [newest] = await parameterVersions(tx, 1);
    const current = parameterTable(newest ?? null);
    const made =
      change.kind === "edited"
        ? editedTable(current, change.changes, "preview")
        : change.kind === "learned"
          ? (await learnedTable(tx, current)).table
          : change.to === 0
            ? ACCOUNT_PARAMETERS
            : parameterTable(await parameterVersion(tx, change.to));
    return { table: made, ...(await sample(tx)) };
  });
  const siteIds = ids.slice(from, from + STEP);
  const sites = siteIds.length > 0 ? await previewScores(actor, table, { now: Date.now(), siteIds }) : [];
  return {
    total: ids.length,
    done: Math.min(ids.length, from + STEP),
    fleet,
    moved: sites.filter(
      ({ before, after }) =>
        before.urgency !== after.urgency ||
        Math.abs(before.bonding.p - after.bonding.p) >= SHOWN ||
        Math.abs(before.energized.p - after.energized.p) >= SHOWN,
    ),
  };
}
