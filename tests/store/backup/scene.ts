import { createHash } from "node:crypto";
import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { gzipSync } from "node:zlib";
import postgres from "postgres";
import { afterAll, beforeAll, inject } from "vitest";
import { refreshScores } from "../../../lib/jobs/refresh-scores.ts";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { type BackupDone, backUp } from "../../../lib/store/backup.ts";
import { type Frame, frameBytes, MAGIC } from "../../../lib/store/backup-frames.ts";
import type { DatabaseAddress } from "../../../lib/store/embedded.ts";
import { keepPhotoFile, photoPath } from "../../../lib/store/photo-file.ts";
import { writeTransaction } from "../../../lib/store/transaction.ts";
import { importPaths } from "../../../lib/writes/import-paths.ts";
import { writeDemoDrop } from "../../../seed/write-demo.ts";
import { renamed } from "../../support/renamed.ts";
import { useTestDatabase } from "../../support/test-database.ts";

export const database = useTestDatabase();
export const MADE_AT = Date.UTC(2026, 10, 20, 12);
export const OTHER = { accountId: 2, person: "other", role: "administrator" };
export const ODD = 'tab\there, "quotes", back\\slash \\N, line\nend, 屋根 🔥, \\.';
/** Longer than two pieces of a backup, and not a whole number of them. */
export const PHOTO = Buffer.alloc(700_001, "photo");
export let data = "";
export let file = "";
export let done: BackupDone;
export const made: string[] = [];

/** A new database that has this release's migrations and nothing else. */
export async function emptyDatabase(): Promise<DatabaseAddress> {
  const template = inject("template");
  const name = `t_restore_${process.pid}_${made.length}`;
  made.push(name);
  const admin = postgres(inject("adminUrl"), { max: 1, onnotice: () => {} });
  await admin.unsafe(`CREATE DATABASE ${name} TEMPLATE raintrip${template.embedded ? " OWNER raintrip_owner" : ""}`);
  await admin.end();
  return { ...template, ownerUrl: renamed(template.ownerUrl, name), appUrl: renamed(template.appUrl, name) };
}

export const asOwner = async <T>(address: DatabaseAddress, use: (sql: postgres.Sql) => Promise<T>): Promise<T> => {
  const owner = postgres(address.ownerUrl, { max: 1, onnotice: () => {} });
  try {
    return await use(owner);
  } finally {
    await owner.end();
  }
};
export const sums = async (address: DatabaseAddress) => {
  const again = path.join(data, `sums-${readdirSync(data).length}`);
  const { tables } = await backUp(address, again, MADE_AT);
  return tables;
};

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-backup-"));
  process.env.RAINTRIP_DATA = data;
  const drop = path.join(data, "drop");
  await writeDemoDrop(drop, { seed: "backup", sites: 10, days: 400, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [drop]);
  await refreshScores(LOCAL_ACTOR, { now: MADE_AT });
  await asOwner(database().address, (owner) =>
    owner.begin(async (tx) => {
      await tx`SELECT set_config('raintrip.account', '2', true)`;
      await tx`INSERT INTO account (account_id, name) VALUES (2, 'Second')`;
    }),
  );
  await writeTransaction(OTHER, async (tx) => {
    await tx`INSERT INTO crew (account_id, crew_id, name, base_latitude, base_longitude, shift_start, shift_end, time_zone)
      VALUES (2, ${ODD}, ${ODD}, 0.1, ${1 / 3}, '07:00', '15:00', 'America/Chicago')`;
    return { result: null, note: { action: "crew.save", subject: ODD, detail: { odd: ODD } } };
  });
  for (const [sha256, item] of [
    [keepPhotoFile(PHOTO, "p1"), "whole"],
    [keepPhotoFile(Buffer.from("a small photo"), "p2"), "small"],
    [keepPhotoFile(Buffer.from("gone"), "p3"), "gone"],
    [keepPhotoFile(Buffer.from("changed"), "p4"), "changed"],
    // The same picture again, of another visit: it is carried once.
    [keepPhotoFile(PHOTO, "p5"), "again"],
  ] as const)
    await writeTransaction(LOCAL_ACTOR, async (tx) => {
      await tx`INSERT INTO visit_photo (account_id, photo_id, visit_id, site_id, item, sha256, media_type, bytes)
        SELECT 1, gen_random_uuid(), ${`V-${item}`}, min(site_id), ${item}, ${sha256}, 'image/png', 1 FROM site`;
      return { result: null, note: null };
    });
  rmSync(photoPath(sha256(Buffer.from("gone"))));
  writeFileSync(photoPath(sha256(Buffer.from("changed"))), "changed by somebody");
  file = path.join(data, "all.backup");
  done = await backUp(database().address, file, MADE_AT);
});
afterAll(async () => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
  const admin = postgres(inject("adminUrl"), { max: 1, onnotice: () => {} });
  for (const name of made) await admin.unsafe(`DROP DATABASE IF EXISTS ${name} WITH (FORCE)`);
  await admin.end();
});

/** The same backup with one more piece of rows in a table, and a manifest that fits it. */
export function forged(frames: readonly Frame[], table: string, extra: Buffer): Buffer {
  const out: Buffer[] = [MAGIC];
  const tables: { table: string; rows: number; bytes: number; sha256: string }[] = [];
  let rows: Buffer[] = [];
  let name = "";
  const close = () => {
    const all = Buffer.concat(rows);
    const count = all.filter((byte) => byte === 10).length;
    if (name) tables.push({ table: name, rows: count, bytes: all.length, sha256: sha256(all) });
    rows = [];
  };
  for (const { kind, payload } of frames) {
    if (kind !== "R" && kind !== "B") close();
    if (kind !== "R") name = "";
    if (kind === "M") break;
    out.push(frameBytes(kind, payload));
    if (kind === "R") rows.push(payload);
    if (kind !== "T") continue;
    name = (JSON.parse(payload.toString()) as { table: string }).table;
    if (name !== table) continue;
    out.push(frameBytes("R", extra));
    rows.push(extra);
  }
  out.push(frameBytes("M", Buffer.from(JSON.stringify({ tables, sha256: sha256(Buffer.concat(out)) }))));
  return gzipSync(Buffer.concat(out), { level: 1 });
}
export const sha256 = (bytes: Buffer) => createHash("sha256").update(bytes).digest("hex");

export async function* pieces(bytes: Buffer, size: number): AsyncGenerator<Buffer> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}
