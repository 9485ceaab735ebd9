import { z } from "zod";
import { MakeSafeFinding, StoredFix } from "../reads/site-detail.ts";
import { systemActor } from "../store/actor.ts";
import type { Database } from "../store/database.ts";
import {
  addEvent,
  answerHazard,
  audit,
  closeMakeSafe,
  dutyPeople,
  type Hazard,
  lockMakeSafe,
  makeSafes,
  progressOf,
  type StoredMakeSafe,
} from "../store/make-safe.ts";
import { addAlert } from "../store/outbox.ts";
import { readTransaction, type Sql, systemTransaction } from "../store/transaction.ts";

const Findings = z.array(MakeSafeFinding);

/** What tells one finding from another, however often it is found. */
const keyOf = ({ trigger, since, sectionId, inverterId }: z.infer<typeof Findings>[number]) =>
  [trigger, since ?? "", sectionId ?? "", inverterId ?? ""].join("/");

/**
 * The round of a worker over the emergencies of one account: open one for every site that the queue makes safe, ask the
 * next person where nobody answered in time, and end the watch where the repairs are known to have held.
 * @param now by the worker's clock
 */
export async function makeSafeRound(db: Database, accountId: number, now: number): Promise<void> {
  const actor = systemActor(accountId);
  // One emergency a transaction: each holds the lock of its site, and the log's, for as short as can be.
  const write = (work: (tx: Sql) => Promise<void>) => systemTransaction(actor, work, db);
  const found = await readTransaction(actor, findings, db);
  for (const hazard of found) {
    if (await readTransaction(actor, (tx) => isAnswered(tx, hazard), db)) continue;
    await write(async (tx) => void (await answerHazard(tx, hazard)));
  }
  await write((tx) => forgetCleared(tx, new Map(found.map((one) => [one.siteId, one.covers]))));
  for (const one of await readTransaction(actor, (tx) => makeSafes(tx, "open"), db)) {
    if (progressOf(one, now).escalate) await write((tx) => escalate(tx, one, now));
    else if (progressOf(one, now).step === "authorised") await write((tx) => endWatch(tx, one, now));
  }
}

/** What the queue makes safe now, by site. */
async function findings(tx: Sql): Promise<Hazard[]> {
  const rows = await tx<{ site_id: string; findings: unknown }[]>`
    SELECT site_id, coalesce(d.detail->'makeSafe', '[]') AS findings FROM standing s JOIN site_detail d USING (account_id, site_id)
    WHERE s.account_id = current_account() AND s.urgency = 'make_safe' ORDER BY site_id`;
  return rows.flatMap((row) => {
    const list = Findings.parse(row.findings);
    const reason = list[0]?.reason;
    return reason ? [{ siteId: row.site_id, openedBy: "queue" as const, reason, covers: list.map(keyOf) }] : [];
  });
}

async function isAnswered(tx: Sql, { siteId, covers }: Hazard): Promise<boolean> {
  const known = new Set((await makeSafes(tx, { siteId })).flatMap((one) => one.covers));
  return covers.every((key) => known.has(key));
}

/** What is no finding any more is answered for no longer: should it come back, it is a new one. */
async function forgetCleared(tx: Sql, standing: ReadonlyMap<string, string[]>): Promise<void> {
  const closed = await tx<{ id: string; site_id: string; covers: string[] }[]>`
    SELECT make_safe_id AS id, site_id, covers FROM make_safe
    WHERE account_id = current_account() AND closed_at IS NOT NULL`;
  for (const { id, site_id, covers } of closed) {
    const left = covers.filter((key) => key.startsWith("stop/") || (standing.get(site_id) ?? []).includes(key));
    if (left.length < covers.length)
      await tx`UPDATE make_safe SET covers = ${tx.json(left)} WHERE account_id = current_account() AND make_safe_id = ${id}`;
  }
}

/** Nobody took the alert in time: a second alert names who did not answer, and the next person is asked. */
async function escalate(tx: Sql, seen: StoredMakeSafe, now: number): Promise<void> {
  await lockMakeSafe(tx, seen.siteId);
  const one = (await makeSafes(tx, { siteId: seen.siteId })).find((m) => m.makeSafeId === seen.makeSafeId);
  if (!one || !progressOf(one, now).escalate) return;
  const level = one.events.filter((event) => event.kind === "escalated").length;
  const people = await dutyPeople(tx);
  // Each person on the list is asked once; then everybody was, and the alerts stand unacknowledged on the screen.
  if (level >= Math.max(1, people.length)) return;
  const unanswered = people[level]?.name ?? "nobody is named to answer alerts";
  const asked = people[level + 1]?.name ?? "";
  await addEvent(tx, one.makeSafeId, "escalated", "", { unanswered, asked });
  const { siteId, makeSafeId } = one;
  const detail = { siteId, makeSafeId, says: one.reason, unanswered, asked };
  await addAlert(tx, "make_safe_escalated", `${makeSafeId}/${level + 1}`, detail);
  await audit(tx, "make_safe.escalate", makeSafeId, { siteId, unanswered, asked });
}

const Fixes = z.array(StoredFix.pick({ repairedAt: true, state: true }));

/**
 * The watch is over when every repair since the alert is known to have held. Under the lock of its site, and looked at anew:
 * another worker may have ended it, or a person taken a step, since it was seen.
 */
async function endWatch(tx: Sql, seen: StoredMakeSafe, now: number): Promise<void> {
  await lockMakeSafe(tx, seen.siteId);
  const one = (await makeSafes(tx, { siteId: seen.siteId })).find((m) => m.makeSafeId === seen.makeSafeId);
  if (!one || one.closedAt !== null || progressOf(one, now).step !== "authorised") return;
  const [row] = await tx<{ fixes: unknown }[]>`
    SELECT coalesce(detail->'fixes', '[]') AS fixes FROM site_detail
    WHERE account_id = current_account() AND site_id = ${one.siteId}`;
  const fixes = Fixes.parse(row?.fixes ?? []).filter((fix) => fix.repairedAt >= one.openedAt);
  if (fixes.length === 0 || fixes.some((fix) => fix.state !== "held")) return;
  await addEvent(tx, one.makeSafeId, "watched", "", {});
  await closeMakeSafe(tx, one.makeSafeId);
  await audit(tx, "make_safe.watched", one.makeSafeId, { siteId: one.siteId });
}
