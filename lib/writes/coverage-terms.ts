import "server-only";
import { z } from "zod";
import type { Reject } from "../contract/row-parser.ts";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { contractTroubles } from "../coverage/contract-troubles.ts";
import { specByName } from "../ingest/identify.ts";
import { importFile } from "../ingest/import-file.ts";
import { recordsAsMet } from "../ingest/known-records.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import { contractsOf } from "../store/coverage-rows.ts";
import { writeTransaction } from "../store/transaction.ts";

const Cell = z.string().max(10_000);

/** The terms of one contract as a form gives them: cells of coverage.csv, empty where not known. */
export const CoverageTermsBody = z.object({
  /** Set when a contract that is there is changed; its number must not meet another one otherwise. */
  change: z.boolean(),
  terms: z.object({
    coverage_id: Cell.trim().min(1, "give the contract a number of your own"),
    site_id: Cell.min(1),
    kind: Cell,
    provider: Cell,
    starts_on: Cell,
    ends_on: Cell,
    limit_amount: Cell,
    deductible_amount: Cell,
    notice_days: Cell,
    notice_to: Cell,
    policy_number: Cell,
    currency: Cell,
    limit_basis: Cell,
    trigger: Cell,
    proof_of_loss_days: Cell,
    suit_limit_months: Cell,
    excludes: Cell,
    conditions: Cell,
  }),
});

export interface SavedTerms {
  coverageId: string;
  /** What of the site's contracts has to be settled by reading them; everything was stored all the same. */
  troubles: string[];
}

/**
 * Enter or change the terms of a contract, exactly as a row of coverage.csv would.
 * @throws AppError `wrong_use` naming the field that cannot be stored, `conflict` for a number that is taken
 */
export async function saveCoverageTerms(
  actor: Actor,
  { change, terms }: z.infer<typeof CoverageTermsBody>,
): Promise<SavedTerms> {
  authorise(actor, "coverage.write");
  const spec = specByName("coverage.csv");
  if (!spec) throw new RangeError("saveCoverageTerms requires the contract's coverage.csv");
  const { coverage_id: coverageId, site_id: siteId } = terms;
  const saved = await writeTransaction(actor, async (tx) => {
    await tx`SELECT pg_advisory_xact_lock(hashtextextended('coverage/' || current_account() || '/' || ${coverageId}, 0))`;
    const [before] =
      await tx`SELECT * FROM coverage WHERE account_id = current_account() AND coverage_id = ${coverageId}`;
    if (before && !change)
      throw new AppError("conflict", {
        message: `The number "${coverageId}" is taken by a contract of site "${before.site_id}". Choose another, or change that one.`,
      });
    if (before && before.site_id !== siteId)
      throw new AppError("conflict", {
        message: `Contract "${coverageId}" belongs to site "${before.site_id}". A contract for two sites is entered once for each, with numbers of its own.`,
      });
    if (change && !before) throw new AppError("not_found", { message: `There is no contract "${coverageId}".` });
    const header = Object.keys(terms);
    const rejects: Reject[] = [];
    const counts = await importFile(tx, {
      ...{ spec, header, known: await recordsAsMet(tx, false), defaults: {} },
      batches: async function* () {
        yield [{ line: 2, cells: Object.values(terms) }];
      },
      setAside: async (found) => {
        rejects.push(...found);
      },
      onRows: () => {},
      onMerge: () => {},
    });
    const [reject] = rejects;
    if (reject)
      throw new AppError("wrong_use", {
        message: `${reject.column.replaceAll("_", " ")}${reject.value === "" ? "" : ` "${reject.value}"`}: ${reject.reason}. Nothing was stored; correct it and send again.`,
      });
    const [after] =
      await tx`SELECT * FROM coverage WHERE account_id = current_account() AND coverage_id = ${coverageId}`;
    const troubles = contractTroubles(await contractsOf(tx, [siteId])).filter((t) =>
      t.coverageIds.includes(coverageId),
    );
    const note =
      counts.accepted > 0
        ? { action: before ? "coverage.change" : "coverage.add", subject: siteId, detail: changed(before, after) }
        : null;
    return { result: { coverageId, troubles: troubles.map((t) => t.says) }, note };
  });
  // The worker's own round finds the stale score too; this only makes it sooner.
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return saved;
}

type Row = Record<string, unknown> | undefined;

function changed(before: Row, after: Row): Record<string, unknown> {
  const text = (value: unknown) => (value instanceof Date ? value.toISOString().slice(0, 10) : (value ?? null));
  const fields = Object.keys(after ?? {}).filter(
    (key) => key !== "account_id" && JSON.stringify(text(before?.[key])) !== JSON.stringify(text(after?.[key])),
  );
  return {
    coverageId: after?.coverage_id,
    changes: Object.fromEntries(fields.map((key) => [key, { from: text(before?.[key]), to: text(after?.[key]) }])),
  };
}
