import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { ACCOUNT_PARAMETERS } from "../coverage/account-parameters.ts";
import { changedRows, overridesOf } from "../diagnose/parameter-overrides.ts";
import type { ParameterTable } from "../diagnose/parameters.ts";
import { learnedTable } from "../jobs/learning.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import { editedTable, ParameterChanges } from "../reads/edited-table.ts";
import type { Actor } from "../store/actor.ts";
import {
  type PARAMETER_KINDS,
  parameterTable,
  parameterVersion,
  parameterVersions,
} from "../store/parameter-versions.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";

const Reason = z.string().trim().min(3, "say why in a few words").max(1000);
/** The version that the person saw; saving over a newer one is refused. 0: the program's defaults. */
const Parent = z.number().int().min(0);

export const SaveParametersBody = z.object({ parent: Parent, reason: Reason, changes: ParameterChanges });
export const RollBackBody = z.object({ parent: Parent, reason: Reason, to: z.number().int().min(0) });
export const AcceptLearnedBody = z.object({ parent: Parent, reason: Reason, outcomes: z.number().int().min(1) });

interface NewVersion {
  parent: number;
  reason: string;
  kind: (typeof PARAMETER_KINDS)[number];
  restores?: number;
}

/** Store a table as the account's next version, with its audit entry, and wake the worker. */
async function store(
  actor: Actor,
  version: NewVersion,
  make: (tx: Sql, current: ParameterTable) => Promise<ParameterTable>,
): Promise<{ version: number }> {
  const stored = await writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(7208, ${actor.accountId})`;
    const [newest] = await parameterVersions(tx, 1);
    const seen = newest?.version ?? 0;
    if (seen !== version.parent)
      throw new AppError("conflict", {
        message: `Version ${seen} was saved meanwhile. Load the page again and look at what changed.`,
      });
    const current = parameterTable(newest ?? null);
    const table = await make(tx, current);
    const changes = changedRows(current, table);
    if (changes.length === 0) throw new AppError("wrong_use", { message: "Nothing would change." });
    const next = seen + 1;
    const overrides = overridesOf(ACCOUNT_PARAMETERS, table);
    await tx`INSERT INTO parameter_version (account_id, version, parent, restores, kind, reason, person, defaults, overrides)
      VALUES (current_account(), ${next}, ${newest?.version ?? null}, ${version.restores ?? null}, ${version.kind}, ${version.reason}, ${actor.person},
        ${ACCOUNT_PARAMETERS.version}, ${tx.json(overrides as never)})`;
    const detail = { kind: version.kind, reason: version.reason, parent: seen, changes };
    return {
      result: { version: next },
      note: { action: "parameters.save", subject: `parameters ${next}`, detail },
    };
  });
  // The worker's own round finds stale scores too; this only makes it sooner.
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return stored;
}

/** Values and spreads as a person set them. */
export async function saveParameters(
  actor: Actor,
  { parent, reason, changes }: z.infer<typeof SaveParametersBody>,
): Promise<{ version: number }> {
  authorise(actor, "parameters.write");
  return store(actor, { parent, reason, kind: "edited" }, async (_tx, current) =>
    editedTable(current, changes, `set by ${actor.person}: ${reason}`),
  );
}

/** The table of an earlier version, or of the defaults (0), as a new version. */
export async function rollBackParameters(
  actor: Actor,
  { parent, reason, to }: z.infer<typeof RollBackBody>,
): Promise<{ version: number }> {
  authorise(actor, "parameters.write");
  return store(actor, { parent, reason, kind: "rolled_back", restores: to }, async (tx) => {
    if (to === 0) return ACCOUNT_PARAMETERS;
    const row = await parameterVersion(tx, to);
    if (!row) throw new AppError("not_found", { message: `There is no version ${to} of the parameters.` });
    return parameterTable(row);
  });
}

/**
 * What confirmed visits teach, accepted by a person.
 * @throws AppError `conflict` when the number of outcomes is not the one that the person saw
 */
export async function acceptLearned(
  actor: Actor,
  { parent, reason, outcomes }: z.infer<typeof AcceptLearnedBody>,
): Promise<{ version: number }> {
  authorise(actor, "parameters.write");
  return store(actor, { parent, reason, kind: "learned" }, async (tx, current) => {
    const learned = await learnedTable(tx, current);
    if (learned.outcomes.length !== outcomes)
      throw new AppError("conflict", {
        message: `There are ${learned.outcomes.length} confirmed outcomes now, not ${outcomes}. Load the page again.`,
      });
    return learned.table;
  });
}
