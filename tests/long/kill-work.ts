import { readdirSync, readFileSync } from "node:fs";
import path from "node:path";
import { setTimeout as sleep } from "node:timers/promises";
import type pg from "pg";
import { itemKey, WHOLE_VISIT } from "../../lib/visit/visit-records.ts";
import type { Serving } from "./serving.ts";

/** The work that a kill falls into, in this order. */
export const PHASES = ["import", "score", "sync", "plan"] as const;
export type Phase = (typeof PHASES)[number];

const PATIENCE_MS = 120_000;
const VISIT = "K-visit";
const SITE = "S001";

/** Ask until it is answered, as a phone or a script does that lost its connection. */
async function insist<T>(serving: Serving, what: string, ask: () => Promise<T | null>): Promise<T> {
  const end = Date.now() + PATIENCE_MS;
  for (;;) {
    await serving.revive();
    const got = await ask().catch(() => null);
    if (got !== null) return got;
    if (Date.now() > end)
      throw new Error(`${what} was not done in ${PATIENCE_MS / 1000} s; last words:\n${serving.said.slice(-1500)}`);
    await sleep(100);
  }
}

async function json(
  serving: Serving,
  url: string,
  init: RequestInit & { headers?: Record<string, string> } = {},
): Promise<unknown> {
  const reply = await serving.fetch(url, { ...init, signal: AbortSignal.timeout(60_000) });
  if (reply.status >= 500) throw new Error(`${reply.status}`);
  if (!reply.ok) throw new RangeError(`${url}: ${reply.status} ${await reply.text()}`);
  return reply.json();
}

/** Send the drop, and wait until its import is over. A broken upload is sent again, as a whole. */
async function importDrop(serving: Serving, folder: string): Promise<void> {
  const importId = await insist(serving, "the upload", async () => {
    const form = new FormData();
    for (const name of readdirSync(folder))
      form.append("files", new Blob([readFileSync(path.join(folder, name))]), name);
    const made = (await json(serving, `/api/v1/imports`, { method: "POST", body: form })) as { import_id: string };
    return made.import_id;
  });
  await insist(serving, "the import", async () => {
    const status = (await json(serving, `/api/v1/imports/${importId}`)) as {
      status: string;
      error: string | null;
    };
    if (status.status === "failed" || status.status === "cancelled") throw new Error(`the import ${status.status}`);
    return status.status === "done" ? true : null;
  });
}

/** What a phone wrote on a visit, in two batches that overlap, until both are taken. */
async function syncPhone(serving: Serving): Promise<void> {
  const edits = [
    { item: itemKey("bond_resistance", null, null), field: "outcome", value: "pass" },
    { item: itemKey("enclosure_dry", null, null), field: "outcome", value: "fail" },
    { item: WHOLE_VISIT, field: "cause", value: "connector_ingress" },
    { item: WHOLE_VISIT, field: "confirmed", value: "yes" },
    { item: WHOLE_VISIT, field: "signed", value: "A. Tester, L-1" },
  ].map((edit, i) => ({
    ...edit,
    edit_id: `00000000-0000-4000-8000-${String(i + 1).padStart(12, "0")}`,
    visit_id: VISIT,
    at: Date.UTC(2026, 10, 2, 9, i),
    by: "A. Tester",
    device: "phone-a",
    seq: i + 1,
  }));
  for (const batch of [edits.slice(0, 3), edits.slice(1), edits])
    await insist(serving, "the sync", () =>
      json(serving, `/api/visits/sync`, {
        method: "POST",
        headers: { "content-type": "application/json" },
        body: JSON.stringify({ visitId: VISIT, siteId: SITE, edits: batch }),
      }),
    );
}

/** Wait until nothing is stale; the answer that only comes then is the ranked queue. */
const scoreAll = (serving: Serving) => insist(serving, "the scores", () => json(serving, `/api/v1/queue`));
const plan = (serving: Serving) =>
  insist(serving, "the plan", () => json(serving, `/api/v1/plan?from=2026-11-02&days=3&effort=50`));

/** Carry out one phase to its end, whatever is killed meanwhile. */
export async function carryOut(serving: Serving, phase: Phase, drop: string): Promise<unknown> {
  if (phase === "import") return importDrop(serving, drop);
  if (phase === "score") return scoreAll(serving);
  if (phase === "sync") {
    await syncPhone(serving);
    return scoreAll(serving);
  }
  return plan(serving);
}

/** Columns that tell when or by which run, not what. */
const NOT_COMPARED =
  /^(computed_at|received_at|raised_at|created_at|import_id|requested_at|started_run|films_made_at|made_at)$/;
const COMPARED = [
  ...[
    "portfolio",
    "site",
    "inverter",
    "section",
    "code_meaning",
    "fault",
    "telemetry",
    "reading",
    "station",
    "weather_month",
  ],
  ...[
    "inspection",
    "repair",
    "visit",
    "crew",
    "coverage",
    "inverter_log",
    "data_horizon",
    "visit_edit",
    "standing",
    "site_detail",
  ],
];

/** A checksum of each table's rows, and what must be none: rows half done. */
export const picture = (serving: Serving): Promise<Record<string, string>> => serving.asAdmin(drawPicture);

async function drawPicture(client: pg.Client): Promise<Record<string, string>> {
  const rowsOf = async <T>(text: string, values: unknown[] = []) => (await client.query(text, values)).rows as T[];
  const out: Record<string, string> = {};
  for (const table of COMPARED) {
    const columns = (
      await rowsOf<{ name: string }>(
        `SELECT column_name AS name FROM information_schema.columns
         WHERE table_schema = 'public' AND table_name = $1 ORDER BY column_name`,
        [table],
      )
    ).filter(({ name }) => !NOT_COMPARED.test(name));
    const list = columns.map(({ name }) => `t."${name}"`).join(", ");
    const [row] = await rowsOf<{ n: number; sum: string | null }>(
      `SELECT count(*)::int AS n, md5(string_agg(h, '' ORDER BY h)) AS sum FROM (SELECT md5(ROW(${list})::text) AS h FROM "${table}" t) x`,
    );
    out[table] = `${row?.n} rows ${row?.sum}`;
  }
  const [left] = await rowsOf<{ unranked: number; unscored: number; aside: string; open: number }>(
    `SELECT (SELECT count(*)::int FROM standing WHERE NOT ranked) AS unranked,
        (SELECT count(*)::int FROM site s WHERE NOT EXISTS (SELECT 1 FROM standing t JOIN score c USING (account_id, site_id, input_hash)
          JOIN site_detail d USING (account_id, site_id, input_hash) WHERE t.account_id = s.account_id AND t.site_id = s.site_id)) AS unscored,
        (SELECT md5(string_agg(DISTINCT f.file || line || "column" || value, '' )) FROM set_aside_row JOIN import_file f USING (account_id, import_id, position)) AS aside,
        (SELECT count(*)::int FROM import_drop WHERE status IN ('waiting', 'running')) AS open`,
  );
  out["sites not ranked"] = String(left?.unranked);
  out["sites without a whole score"] = String(left?.unscored);
  out["rows set aside"] = String(left?.aside);
  out["imports open"] = String(left?.open);
  const [sums] = await rowsOf<{ wrong: number }>(
    `SELECT count(*)::int AS wrong FROM import_file f JOIN import_drop d USING (account_id, import_id)
      WHERE d.status = 'done' AND (f.status <> 'done' OR rows <> accepted + unchanged + set_aside)`,
  );
  out["files whose counts do not add up"] = String(sums?.wrong);
  return out;
}

const NOT_WIPED = ["_prisma_migrations", "account", "account_directory", "account_rate", "parameter_version", "person"];

/**
 * Everything that a cycle stored, away; the queue stays. It takes every table at once, which no code of the program does: where
 * it meets a worker's round that holds some of them (a deadlock) it is done again.
 */
export const wipe = (serving: Serving): Promise<void> =>
  serving.asAdmin(async (client) => {
    const { rows } = await client.query(
      `SELECT quote_ident(c.relname) AS name FROM pg_class c
       WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
         AND NOT c.relispartition AND c.relname <> ALL($1) AND c.relname NOT LIKE 'sign_in_%'`,
      [NOT_WIPED],
    );
    await client.query("SET session_replication_role = replica");
    await client.query(`TRUNCATE ${(rows as { name: string }[]).map((t) => t.name).join(", ")}`);
  });

/** Jobs that wait or are said to be in work. */
export const jobsLeft = (serving: Serving): Promise<number> =>
  serving.asAdmin(async (client) => {
    const { rows } = await client.query(
      "SELECT count(*)::int AS n FROM pgboss.job WHERE state IN ('created', 'retry', 'active')",
    );
    return (rows[0] as { n: number }).n;
  });
