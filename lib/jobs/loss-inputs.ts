import { z } from "zod";
import type { Cause } from "../core/records.ts";
import { CAUSES } from "../core/records.ts";
import { lossParametersOf } from "../coverage/account-parameters.ts";
import type { LossContext } from "../coverage/loss-book.ts";
import type { WhatIfSite } from "../coverage/loss-what-if.ts";
import { BandedProbability } from "../reads/documents.ts";
import { currentParameters } from "../store/parameter-versions.ts";
import { proofDigest } from "../store/proof-rows.ts";
import { siteRecords } from "../store/site-records.ts";
import type { Sql } from "../store/transaction.ts";
import { siteProofs } from "./site-proofs.ts";
import { readProposer } from "./write-scores.ts";

/** Raised whenever code changes what a loss would be from the same scores. */
export const LOSS_CODE_VERSION = "2";
/** One seed for good: the same scores and parameters give the same figures, and a what-if meets the same years. */
export const LOSS_SEED = "loss/1";

const SITES_AT_ONCE = 500;

/** What the loss of every scored site of the account is reckoned from now. */
export interface LossInputs {
  inputHash: string;
  parameterVersion: string;
  context: LossContext;
  sites: (WhatIfSite & { name: string })[];
}

/**
 * A digest of what the figures would rest on now: every site's newest score, which itself stands for its records, its
 * contracts, the parameters and the account's money.
 * @returns null while nothing is scored
 */
export async function lossInputHash(tx: Sql): Promise<string | null> {
  const [row] = await tx<{ digest: string | null }[]>`
    SELECT md5(string_agg(site_id || ' ' || input_hash, E'\n' ORDER BY site_id)) AS digest
    FROM standing WHERE account_id = current_account()`;
  return row?.digest ? `${row.digest}.${await proofDigest(tx)}.${LOSS_CODE_VERSION}` : null;
}

const Scored = z.object({
  site_id: z.string(),
  name: z.string(),
  as_of: z.date(),
  visit_cost: z.number().nullable(),
  bonding: BandedProbability,
  causes: z.record(z.enum(CAUSES), z.number()),
  window: z.object({ from: z.number(), to: z.number() }).nullable(),
  episodes: z.array(z.object({ onset: z.number(), end: z.number().nullable(), inverterIds: z.array(z.string()) })),
});

/** @returns null while nothing is scored */
export async function readLossInputs(tx: Sql): Promise<LossInputs | null> {
  const inputHash = await lossInputHash(tx);
  if (inputHash === null) return null;
  const table = await currentParameters(tx);
  const { accountCurrency, rates } = await readProposer(tx, table);
  const ids = await tx<{ site_id: string; as_of: Date }[]>`
    SELECT site_id, as_of FROM standing WHERE account_id = current_account() ORDER BY site_id`;
  const asOf = Math.max(...ids.map((row) => row.as_of.getTime()));
  const sites: LossInputs["sites"] = [];
  for (let from = 0; from < ids.length; from += SITES_AT_ONCE)
    sites.push(
      ...(await readLossSites(
        tx,
        ids.slice(from, from + SITES_AT_ONCE).map((row) => row.site_id),
        asOf,
      )),
    );
  const money = { accountCurrency, rates };
  return {
    inputHash,
    parameterVersion: table.version,
    context: { asOf, money, params: lossParametersOf(table) },
    sites,
  };
}

/** Logs and weather stay where they are: only what money hangs on is read, and what each site can show for a claim. */
export async function readLossSites(tx: Sql, ids: string[], asOf: number): Promise<LossInputs["sites"]> {
  const scored = await tx`
    SELECT st.site_id, st.name, st.as_of, st.visit_cost, sc.result -> 'bonding_defect' AS bonding, sc.result -> 'causes' AS causes,
      d.detail -> 'window' AS "window", coalesce(d.detail -> 'episodes', '[]'::jsonb) AS episodes
    FROM standing st JOIN score sc USING (account_id, site_id, input_hash) LEFT JOIN site_detail d USING (account_id, site_id)
    WHERE st.account_id = current_account() AND st.site_id = ANY(${ids}) ORDER BY st.site_id`;
  const records = await siteRecords(tx, ids, { logs: false });
  const proofs = await siteProofs(tx, records, asOf);
  return z
    .array(Scored)
    .parse([...scored])
    .flatMap((row) => {
      const own = records.get(row.site_id);
      const proof = proofs.get(row.site_id);
      if (!own || !proof) return [];
      const { site, inverters, sections, coverage } = own;
      return [
        {
          name: row.name,
          records: { site, inverters, sections, coverage },
          proof,
          causes: row.causes as Record<Cause, number>,
          bonding: row.bonding,
          log: { window: row.window, episodes: row.episodes },
          visitCost: row.visit_cost,
        },
      ];
    });
}
