import "server-only";
import { z } from "zod";
import { AppError } from "../core/app-error.ts";
import { authorise } from "../core/permissions.ts";
import { REPAIR_CAUSES, SURFACES } from "../core/records.ts";
import { inspectionTriggers } from "../dispatch/inspection-triggers.ts";
import { wakeScoring } from "../jobs/wake-worker.ts";
import type { Actor } from "../store/actor.ts";
import {
  addEvent,
  closeMakeSafe,
  lockMakeSafe,
  makeSafes,
  progressOf,
  type StoredEvent,
  type StoredMakeSafe,
} from "../store/make-safe.ts";
import { acknowledgeMakeSafeAlerts } from "../store/outbox.ts";
import { siteRecords } from "../store/site-records.ts";
import { type Sql, writeTransaction } from "../store/transaction.ts";
import { visitEdits } from "../store/visit-log.ts";
import { type MakeSafeEvent, refusedStep, type StandsInTheWay, TEST_RESULTS } from "../visit/make-safe-state.ts";
import { sayStop } from "../visit/say-stop.ts";
import { standingStops } from "../visit/stop-rule.ts";
import { voltReadings } from "../visit/visit-records.ts";
import { upsertContractRows } from "./contract-rows.ts";

const Text = z.string().trim().max(2000);
const Name = z.string().trim().min(1, "give the name").max(200);
const Id = z.string().max(300).nullable().default(null);
const Licensed = { licence: Text.default(""), qualified: z.boolean().default(false) };

/** A step as a person writes it. There is no time in it: the server's counts. */
export const MakeSafeStepBody = z.discriminatedUnion("kind", [
  z.strictObject({ kind: z.literal("acknowledged"), by: Name }),
  z.strictObject({
    ...{ kind: z.literal("owner_told"), by: Name, whom: Text, means: Text },
    ...{ keepOff: z.boolean(), noReset: z.boolean() },
  }),
  z.strictObject({ kind: z.literal("isolated"), by: Name, lock: Text, photo: z.uuid("take a photo of the lock") }),
  z.strictObject({
    ...{ kind: z.literal("repaired"), by: Name, cause: z.enum(REPAIR_CAUSES), action: Text },
    ...{ sectionId: Id, inverterId: Id, confirmed: z.boolean() },
    /** A repair that a visit put on record already: it is that one, and no second is made. */
    repairedAt: z.number().int().nullable().default(null),
  }),
  z.strictObject({
    ...{ kind: z.literal("tested"), by: Name, continuity: z.enum(TEST_RESULTS), insulation: z.enum(TEST_RESULTS) },
    ...{ surface: z.enum(SURFACES), readings: Text.default("") },
  }),
  z.strictObject({ kind: z.literal("authorised"), by: Name, ...Licensed }),
  z.strictObject({ kind: z.literal("released"), by: Name, reason: Text, ...Licensed }),
]);
export type MakeSafeStepBody = z.infer<typeof MakeSafeStepBody>;

/**
 * Write the next step of a make_safe, under a name and at the server's time. Tests that failed or could not be made are
 * kept as facts and do not count.
 * @throws AppError `not_found` when there is none; `conflict` with what to do when the step cannot be written now
 */
export async function writeMakeSafeStep(
  actor: Actor,
  makeSafeId: string,
  body: MakeSafeStepBody,
): Promise<{ step: string | null; next: string | null }> {
  authorise(actor, "make_safe.write");
  const done = await writeTransaction(actor, async (tx) => {
    const one = await lockedMakeSafe(tx, makeSafeId);
    const event = { ...body, at: await serverNow(tx) } as MakeSafeEvent;
    const why = refusedStep(one.events, event, await inTheWay(tx, one.siteId, event.at));
    if (why) throw new AppError("conflict", { message: why });
    await checkReferences(tx, one.siteId, body);
    const { kind, by, ...detail } = body;
    await addEvent(tx, makeSafeId, kind, by, detail);
    const [after] = (await makeSafes(tx, { siteId: one.siteId })).filter((m) => m.makeSafeId === makeSafeId);
    if (after) await consequences(tx, after, body);
    const { step, next } = progressOf(after ?? one, event.at);
    const note = { action: `make_safe.${kind}`, subject: makeSafeId, detail: { siteId: one.siteId, by, ...detail } };
    return { result: { step, next }, note };
  });
  // The worker's own round finds the stale score too; this only makes it sooner.
  await wakeScoring(actor.accountId).catch((error: Error) => console.error(`raintrip wake: ${error.message}`));
  return done;
}

async function lockedMakeSafe(tx: Sql, makeSafeId: string): Promise<StoredMakeSafe> {
  const [row] = await tx<{ site_id: string }[]>`
    SELECT site_id FROM make_safe WHERE account_id = current_account() AND make_safe_id = ${makeSafeId}`;
  if (!row) throw new AppError("not_found", { message: `There is no make_safe "${makeSafeId}".` });
  await lockMakeSafe(tx, row.site_id);
  const one = (await makeSafes(tx, { siteId: row.site_id })).find((m) => m.makeSafeId === makeSafeId);
  if (!one) throw new AppError("not_found", { message: `There is no make_safe "${makeSafeId}".` });
  return one;
}

async function serverNow(tx: Sql): Promise<number> {
  const [row] = await tx<{ now: Date }[]>`SELECT clock_timestamp() AS now`;
  return row?.now.getTime() ?? Date.now();
}

/** What keeps a site from being given back: stops that nothing lowered, findings that no tested repair answers. */
export async function inTheWay(tx: Sql, siteId: string, now: number): Promise<StandsInTheWay> {
  const records = (await siteRecords(tx, [siteId], { logs: false })).get(siteId);
  return {
    stops: standingStops(voltReadings(await visitEdits(tx, { siteId }))).map(sayStop),
    findings: records ? inspectionTriggers(records, now).map((finding) => finding.reason) : [],
  };
}

async function checkReferences(tx: Sql, siteId: string, body: MakeSafeStepBody): Promise<void> {
  if (body.kind === "isolated") {
    const [photo] = await tx`SELECT 1 FROM visit_photo
      WHERE account_id = current_account() AND site_id = ${siteId} AND photo_id = ${body.photo}`;
    if (!photo)
      throw new AppError("conflict", { message: "The photo of the lock has not arrived. Take it again, then save." });
  }
  if (body.kind !== "repaired" || body.repairedAt === null) return;
  const [repair] = await tx`SELECT 1 FROM repair WHERE account_id = current_account() AND site_id = ${siteId}
    AND repaired_at = ${new Date(body.repairedAt)} AND cause = ${body.cause}`;
  if (!repair)
    throw new AppError("conflict", { message: "That repair is not on record any more. Load the page again." });
}

/** What a step does beyond being written. */
async function consequences(tx: Sql, one: StoredMakeSafe, body: MakeSafeStepBody): Promise<void> {
  const { makeSafeId, siteId } = one;
  if (body.kind === "acknowledged") await acknowledgeMakeSafeAlerts(tx, one, body.by);
  if (body.kind === "released") {
    await acknowledgeMakeSafeAlerts(tx, one, body.by);
    await closeMakeSafe(tx, makeSafeId);
  }
  if (body.kind === "repaired" && body.repairedAt === null)
    await keepRepairs(tx, siteId, repairsOf(one).slice(-1), "none");
  if (body.kind === "tested" && body.continuity === "pass" && body.insulation === "pass")
    await keepRepairs(tx, siteId, repairsOf(one), "both");
}

type Repaired = Extract<StoredEvent, { kind: "repaired" }>;

/** The newest repair of each cause and place: what the tests that passed are about. */
function repairsOf({ events }: StoredMakeSafe): Repaired[] {
  const newest = new Map<string, Repaired>();
  for (const event of events) {
    if (event.kind !== "repaired") continue;
    const key = JSON.stringify([event.cause, event.sectionId, event.inverterId]);
    newest.delete(key);
    newest.set(key, event);
  }
  return [...newest.values()];
}

/** The repairs on record, as an import would bring them; tested, they are what answers for the findings. */
async function keepRepairs(tx: Sql, siteId: string, repairs: Repaired[], testedAfter: "none" | "both"): Promise<void> {
  const rows = repairs.map((repaired) => ({
    ...{ site_id: siteId, repaired_at: new Date(repaired.repairedAt ?? repaired.at).toISOString() },
    ...{ cause: repaired.cause, section_id: repaired.sectionId ?? "", inverter_id: repaired.inverterId ?? "" },
    ...{ action: repaired.action, confirmed: repaired.confirmed ? "yes" : "no", tested_after: testedAfter },
  }));
  const [refused] = await upsertContractRows(tx, "repairs.csv", rows);
  if (refused)
    throw new AppError("conflict", {
      message: `The repair cannot be recorded: ${refused.column} "${refused.value}": ${refused.reason}`,
    });
}
