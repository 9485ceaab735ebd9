import "server-only";
import { authorise } from "../core/permissions.ts";
import type { Actor } from "../store/actor.ts";
import { readTransaction, type Sql, writeTransaction } from "../store/transaction.ts";

interface Key {
  kind: string;
  id: string;
}

const keys = (tx: Sql) => tx<Key[]>`
  SELECT 'site' AS kind, site_id AS id FROM site WHERE account_id = current_account()
  UNION ALL SELECT 'station', station_id FROM station WHERE account_id = current_account()
  UNION ALL SELECT 'crew', crew_id FROM crew WHERE account_id = current_account()
  UNION ALL SELECT 'portfolio', portfolio FROM portfolio WHERE account_id = current_account()
  UNION ALL SELECT 'import', import_id FROM import_drop WHERE account_id = current_account()
  UNION ALL SELECT DISTINCT 'code_system', code_system FROM code_meaning WHERE account_id = current_account()`;

/** One text for a record of the demo: its kind and its id. */
export const keyName = ({ kind, id }: Key): string => `${kind}\n${id}`;

/** What an account holds before the demo comes. */
export async function keysOfAccount(actor: Actor): Promise<ReadonlySet<string>> {
  authorise(actor, "demo.manage");
  return new Set((await readTransaction(actor, keys)).map(keyName));
}

/** Mark what came with the demo, so that removing it takes that and nothing else. */
export async function markDemo(actor: Actor, before: ReadonlySet<string>): Promise<void> {
  authorise(actor, "demo.manage");
  await writeTransaction(actor, async (tx) => {
    const came = (await keys(tx)).filter((key) => !before.has(keyName(key)));
    await tx`INSERT INTO demo_mark (account_id, kind, id)
      SELECT current_account(), kind, id FROM jsonb_to_recordset(${tx.json(came as never)}) AS c(kind text, id text)
      ON CONFLICT DO NOTHING`;
    return {
      result: null,
      note: came.length > 0 ? { action: "demo.load", subject: "demo", detail: { marked: came.length } } : null,
    };
  });
}
