import { z } from "zod";
import { MakeSafeFinding, StoredFix } from "../reads/site-detail.ts";
import { systemActor } from "../store/actor.ts";
import { answerHazards, setCovers } from "../store/answer-hazards.ts";
import type { Database } from "../store/database.ts";
import {
  addEvents,
  auditEach,
  closeMakeSafes,
  dutyPeople,
  lockMakeSafes,
  makeSafes,
  progressOf,
  type StoredMakeSafe,
} from "../store/make-safe.ts";
import { addAlerts } from "../store/outbox.ts";
import { readTransaction, type Sql, systemTransaction } from "../store/transaction.ts";
import { ACKNOWLEDGE_WITHIN_MS } from "../visit/make-safe-state.ts";

const Findings = z.array(MakeSafeFinding);

/** What tells one finding from another, however often it is found. */
const keyOf = ({ trigger, since, sectionId, inverterId }: z.infer<typeof Findings>[number]) =>
  [trigger, since ?? "", sectionId ?? "", inverterId ?? ""].join("/");

/** Sites answered for in one transaction: it holds their locks, and the log's, for as short as can be. */
const BATCH = 100;

export interface MakeSafeRoundOptions {
  /** Called before each batch: what somebody waits for goes first. */
  first?: (() => Promise<void>) | undefined;
  /** Sites in one transaction. */
  batch?: number;
}

/**
 * The round of a worker over the emergencies of one account: open one for every site that the queue makes safe, ask the
 * next person where nobody answered in time, and end the watch where the repairs are known to have held. Each batch is one
 * transaction of a few statements; a round that is cut off is gone on with by the next one, of whichever worker.
 * @param now by the worker's clock
 */
export async function makeSafeRound(
  db: Database,
  accountId: number,
  now: number,
  { first, batch = BATCH }: MakeSafeRoundOptions = {},
): Promise<void> {
  const actor = systemActor(accountId);
  const write = <T>(work: (tx: Sql) => Promise<T>) => systemTransaction(actor, work, db);
  let after: string | null = "";
  while (after !== null) {
    await first?.();
    const from: string = after;
    after = await write((tx) => answerFindings(tx, from, batch));
  }
  for (const [due, act] of [
    [dueEscalations, escalate],
    [watched, endWatches],
  ] as const) {
    const sites = await readTransaction(actor, (tx) => due(tx, now), db);
    for (let at = 0; at < sites.length; at += batch) {
      await first?.();
      await write((tx) => act(tx, sites.slice(at, at + batch), now));
    }
  }
}

interface LookRow {
  site_id: string;
  input_hash: string;
  findings: unknown;
}

/**
 * Hold the emergencies of some sites against what the queue makes safe now: of those whose score, or emergency, is another one than
 * when they were last held against each other.
 * @returns the last site of them; null: none is left beyond
 */
async function answerFindings(tx: Sql, after: string, batch: number): Promise<string | null> {
  const rows = await tx<LookRow[]>`
    WITH asked AS (
      SELECT site_id, input_hash, '-infinity'::timestamptz AS closed_at FROM standing
      WHERE account_id = current_account() AND urgency = 'make_safe' AND site_id > ${after}
      UNION ALL
      SELECT st.site_id, st.input_hash, m.closed_at FROM make_safe m JOIN standing st USING (account_id, site_id)
      WHERE m.account_id = current_account() AND m.closed_at IS NOT NULL AND m.covers <> '[]' AND m.site_id > ${after}
    ), changed AS (
      SELECT DISTINCT a.site_id, a.input_hash FROM asked a
      LEFT JOIN make_safe_look l ON l.account_id = current_account() AND l.site_id = a.site_id
      WHERE l.input_hash IS DISTINCT FROM a.input_hash OR a.closed_at > l.looked_at ORDER BY a.site_id LIMIT ${batch}
    )
    SELECT c.site_id, c.input_hash, CASE WHEN st.urgency = 'make_safe' THEN coalesce(d.detail->'makeSafe', '[]') ELSE '[]' END AS findings
    FROM changed c JOIN standing st ON st.account_id = current_account() AND st.site_id = c.site_id
    LEFT JOIN site_detail d ON d.account_id = st.account_id AND d.site_id = st.site_id ORDER BY c.site_id`;
  if (rows.length === 0) return null;
  const found = rows.map(({ site_id: siteId, input_hash, findings }) => {
    const list = Findings.parse(findings);
    const reason = list[0]?.reason ?? "";
    return { siteId, inputHash: input_hash, reason, covers: reason ? list.map(keyOf) : [] };
  });
  await lockMakeSafes(
    tx,
    found.map((one) => one.siteId),
  );
  await answerHazards(
    tx,
    found.flatMap(({ siteId, reason, covers }) =>
      reason ? [{ siteId, openedBy: "queue" as const, reason, covers }] : [],
    ),
  );
  await forgetCleared(tx, new Map(found.map((one) => [one.siteId, one.covers])));
  await tx`INSERT INTO make_safe_look AS l (account_id, site_id, input_hash)
    SELECT current_account(), site_id, input_hash
    FROM unnest(${found.map((one) => one.siteId)}::text[], ${found.map((one) => one.inputHash)}::text[]) AS new(site_id, input_hash)
    ON CONFLICT (account_id, site_id) DO UPDATE SET input_hash = excluded.input_hash, looked_at = excluded.looked_at`;
  return rows.length < batch ? null : (rows.at(-1)?.site_id ?? null);
}

/** What is no finding any more is answered for no longer: should it come back, it is a new one. */
async function forgetCleared(tx: Sql, standing: ReadonlyMap<string, string[]>): Promise<void> {
  const closed = await tx<{ id: string; site_id: string; covers: string[] }[]>`
    SELECT make_safe_id AS id, site_id, covers FROM make_safe
    WHERE account_id = current_account() AND closed_at IS NOT NULL AND covers <> '[]' AND site_id = ANY(${[...standing.keys()]})`;
  const fewer = closed.flatMap(({ id, site_id, covers }) => {
    const left = covers.filter((key) => key.startsWith("stop/") || standing.get(site_id)?.includes(key));
    return left.length < covers.length ? [{ id, covers: left }] : [];
  });
  await setCovers(tx, fewer);
}

/** Sites whose alert nobody took in time, while there is somebody left to ask. */
async function dueEscalations(tx: Sql, now: number): Promise<string[]> {
  const late = new Date(now - ACKNOWLEDGE_WITHIN_MS);
  const rows = await tx<{ site_id: string }[]>`
    SELECT m.site_id FROM make_safe m
    CROSS JOIN LATERAL (SELECT count(*) FILTER (WHERE kind = 'escalated') AS level,
        bool_or(kind = 'acknowledged') AS taken, min(happened_at) FILTER (WHERE kind = 'alert') AS alert_at
      FROM make_safe_event e WHERE e.account_id = m.account_id AND e.make_safe_id = m.make_safe_id) e
    WHERE m.account_id = current_account() AND m.closed_at IS NULL AND m.opened_at <= ${late} AND NOT e.taken
      AND e.level < greatest(1, (SELECT count(*) FROM duty_person WHERE account_id = current_account()))
      AND e.alert_at < ${late}::timestamptz - e.level * ${ACKNOWLEDGE_WITHIN_MS / 1000} * interval '1 second'
    ORDER BY m.site_id`;
  return rows.map((row) => row.site_id);
}

/** The emergencies that are open at sites, under their locks: another worker or a person may have been there since they were seen. */
async function openUnderLock(tx: Sql, siteIds: readonly string[]): Promise<StoredMakeSafe[]> {
  await lockMakeSafes(tx, siteIds);
  return makeSafes(tx, { openAt: siteIds });
}

/** Nobody took the alert in time: a second alert names who did not answer, and the next person is asked. */
async function escalate(tx: Sql, siteIds: readonly string[], now: number): Promise<void> {
  const people = await dutyPeople(tx);
  const due = (await openUnderLock(tx, siteIds)).flatMap((one) => {
    const level = one.events.filter((event) => event.kind === "escalated").length;
    // Each person on the list is asked once; then everybody was, and the alerts stand unacknowledged on the screen.
    if (!progressOf(one, now).escalate || level >= Math.max(1, people.length)) return [];
    const unanswered = people[level]?.name ?? "nobody is named to answer alerts";
    return [{ ...one, level, unanswered, asked: people[level + 1]?.name ?? "" }];
  });
  await addEvents(
    tx,
    due.map(({ makeSafeId, unanswered, asked }) => ({
      ...{ makeSafeId, kind: "escalated" as const, by: "" },
      detail: { unanswered, asked },
    })),
  );
  await addAlerts(
    tx,
    due.map(({ makeSafeId, siteId, reason, level, unanswered, asked }) => ({
      ...{ kind: "make_safe_escalated" as const, subject: `${makeSafeId}/${level + 1}` },
      detail: { siteId, makeSafeId, says: reason, unanswered, asked },
    })),
  );
  await auditEach(
    tx,
    due.map(({ makeSafeId, siteId, unanswered, asked }) => ({
      ...{ action: "make_safe.escalate", subject: makeSafeId },
      detail: { siteId, unanswered, asked },
    })),
  );
}

/** Sites whose emergency is given back and watched. */
async function watched(tx: Sql): Promise<string[]> {
  const rows = await tx<{ site_id: string }[]>`
    SELECT site_id FROM make_safe m WHERE account_id = current_account() AND closed_at IS NULL
      AND EXISTS (SELECT FROM make_safe_event e WHERE e.account_id = m.account_id AND e.make_safe_id = m.make_safe_id AND e.kind = 'authorised')
    ORDER BY site_id`;
  return rows.map((row) => row.site_id);
}

const Fixes = z.array(StoredFix.pick({ repairedAt: true, state: true }));

/** The watch is over when every repair since the alert is known to have held. */
async function endWatches(tx: Sql, siteIds: readonly string[], now: number): Promise<void> {
  const open = (await openUnderLock(tx, siteIds)).filter((one) => progressOf(one, now).step === "authorised");
  const rows = await tx<{ site_id: string; fixes: unknown }[]>`
    SELECT site_id, coalesce(detail->'fixes', '[]') AS fixes FROM site_detail
    WHERE account_id = current_account() AND site_id = ANY(${open.map((one) => one.siteId)})`;
  const fixesOf = new Map(rows.map((row) => [row.site_id, Fixes.parse(row.fixes)]));
  const over = open.filter((one) => {
    const fixes = (fixesOf.get(one.siteId) ?? []).filter((fix) => fix.repairedAt >= one.openedAt);
    return fixes.length > 0 && fixes.every((fix) => fix.state === "held");
  });
  await addEvents(
    tx,
    over.map(({ makeSafeId }) => ({ makeSafeId, kind: "watched" as const, by: "", detail: {} })),
  );
  await closeMakeSafes(
    tx,
    over.map((one) => one.makeSafeId),
  );
  await auditEach(
    tx,
    over.map(({ makeSafeId, siteId }) => ({
      action: "make_safe.watched",
      subject: makeSafeId,
      detail: { siteId },
    })),
  );
}
