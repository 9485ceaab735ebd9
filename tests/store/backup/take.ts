import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { gunzipSync, gzipSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { backUp } from "../../../lib/store/backup.ts";
import { type Frame, frameBytes, framesOf, MAGIC } from "../../../lib/store/backup-frames.ts";
import { missingPhotoLines, restorePhotos } from "../../../lib/store/backup-photos.ts";
import { keepPhotoFile, readPhotoFile } from "../../../lib/store/photo-file.ts";
import { checkBackup, restore } from "../../../lib/store/restore.ts";
import { readTransaction } from "../../../lib/store/transaction.ts";
import { makeBackup } from "../../../lib/writes/make-backup.ts";
import { adminConnection } from "../../support/admin-connection.ts";
import { data, database, done, emptyDatabase, file, MADE_AT, PHOTO, pieces, sha256, sums } from "./scene.ts";

describe("backUp", () => {
  test("holds every row of every table of every account, counted by the database's own superuser or owner", async () => {
    const { tables } = (await checkBackup(file)).manifest;
    expect(tables).toEqual(done.tables);
    const admin = adminConnection(database());
    const names = await admin<{ name: string }[]>`
      SELECT c.relname AS name FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
        AND NOT c.relispartition AND c.relname NOT IN ('_prisma_migrations', 'account_directory',
          'sign_in_session', 'sign_in_challenge', 'sign_in_rate', 'sign_in_lock', 'site_change')`;
    // What lets somebody in stays out, and what waits for a score, which the first round finds anew.
    expect(tables.map((t) => t.table).sort()).toEqual(names.map((n) => n.name).sort());
    for (const { table, rows } of tables) {
      const [count] = await admin.unsafe(`SELECT count(*)::integer AS n FROM "${table}"`);
      expect(rows, table).toBe(count?.n);
    }
    await admin.end();
    const filled = tables.filter((t) => t.rows > 0).map((t) => t.table);
    for (const table of [
      "site",
      "fault",
      "weather_month",
      "score",
      "standing",
      "audit_entry",
      "import_file",
      "film_month",
    ])
      expect(filled).toContain(table);
  });

  test("is readable by its owner alone, and never overwrites", async () => {
    expect(statSync(file).mode & 0o077).toBe(0);
    const before = readFileSync(file);
    await expect(backUp(database().address, file, MADE_AT)).rejects.toMatchObject({ code: "wrong_use" });
    expect(readFileSync(file).equals(before)).toBe(true);
  });

  test("leaves no half file behind where it cannot be written, and the database stays usable", async () => {
    const nowhere = path.join(data, "drop", "sites.csv", "x.backup");
    await expect(backUp(database().address, nowhere, MADE_AT)).rejects.toMatchObject({ code: "file_unreadable" });
    expect(await sums(database().address)).toEqual(done.tables);
  });

  test("who took it is entered in the audit log", async () => {
    const own = path.join(data, "logged.backup");
    await makeBackup(LOCAL_ACTOR, database(), { file: own, madeAt: MADE_AT });
    const [entry] = await readTransaction(
      LOCAL_ACTOR,
      (tx) => tx`SELECT person, action, subject FROM audit_entry ORDER BY seq DESC LIMIT 1`,
    );
    expect(entry).toEqual({ person: "local", action: "backup.make", subject: "logged.backup" });
  });
});

describe("photos of visits", () => {
  const photos = () => path.join(process.env.RAINTRIP_DATA ?? "", "visit-photos");
  /** Restore into a data folder of its own. */
  async function intoNewFolder<T>(work: (folder: string) => Promise<T>): Promise<T> {
    const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-restore-"));
    process.env.RAINTRIP_DATA = folder;
    try {
      return await work(folder);
    } finally {
      process.env.RAINTRIP_DATA = data;
      rmSync(folder, { recursive: true, force: true });
    }
  }

  test("one that is gone and one that was changed are named with their visits; the others are carried, each once", () => {
    expect(done.photos).toMatchObject({ count: 2, bytes: PHOTO.length + 13, missing_count: 2 });
    expect(done.photos.missing.map((p) => [p.visit_id, p.item, p.sha256]).sort()).toEqual([
      ["V-changed", "changed", sha256(Buffer.from("changed"))],
      ["V-gone", "gone", sha256(Buffer.from("gone"))],
    ]);
    expect(missingPhotoLines(done.photos).join("\n")).toMatch(
      /visit V-gone at .* \(gone\).*is gone from the data folder/,
    );
    const many = { ...done.photos, missing_count: 9 };
    expect(missingPhotoLines(many).at(-1)).toBe("7 more photos are missing in the same way.");
  });

  test("come back byte for byte into an empty server and an empty data folder, and again change nothing", async () => {
    await intoNewFolder(async () => {
      expect((await restore(await emptyDatabase(), file)).photos).toEqual(done.photos);
      expect(readdirSync(photos()).sort()).toEqual([sha256(PHOTO), sha256(Buffer.from("a small photo"))].sort());
      expect(Buffer.from(readPhotoFile(sha256(PHOTO)) ?? []).equals(PHOTO)).toBe(true);
      await restore(await emptyDatabase(), file);
      expect(readdirSync(photos())).toHaveLength(2);
    });
  });

  test("one that is damaged in the backup is caught by its own hash though the file's checksum fits; nothing is written", async () => {
    const frames: Frame[] = [];
    for await (const frame of framesOf(pieces(gunzipSync(readFileSync(file)), 4096))) frames.push(frame);
    const spoiled = (change: (frames: Frame[]) => void) => {
      const copy = frames.map((f) => ({ ...f, payload: Buffer.from(f.payload) }));
      change(copy);
      const body = copy.filter((f) => f.kind !== "M");
      const bytes = Buffer.concat([MAGIC, ...body.map((f) => frameBytes(f.kind, f.payload))]);
      const manifest = JSON.parse(frames.at(-1)?.payload.toString() ?? "{}");
      const sealed = frameBytes("M", Buffer.from(JSON.stringify({ ...manifest, sha256: sha256(bytes) })));
      const bad = path.join(data, "photo.backup");
      writeFileSync(bad, gzipSync(Buffer.concat([bytes, sealed]), { level: 1 }));
      return bad;
    };
    const last = (copy: Frame[]) => copy.findLastIndex((f) => f.kind === "B");
    const cases: [(copy: Frame[]) => void, RegExp][] = [
      [(copy) => copy[last(copy)]?.payload.writeUInt8(1, 0), /the photo [0-9a-f]{64} in it is damaged/],
      [(copy) => copy.splice(last(copy), 1), /the photo [0-9a-f]{64} in it is damaged/],
      [
        (copy) =>
          copy.splice(
            copy.findIndex((f) => f.kind === "F"),
            1,
          ),
        /pieces in it belong to no photo/,
      ],
      [
        (copy) =>
          copy.splice(
            copy.findLastIndex((f) => f.kind === "F"),
            last(copy),
          ),
        /photos in it are lost/,
      ],
    ];
    await intoNewFolder(async () => {
      const address = await emptyDatabase();
      const before = await sums(address);
      for (const [change, says] of cases) await expect(restore(address, spoiled(change))).rejects.toThrow(says);
      expect(await sums(address)).toEqual(before);
      expect(existsSync(photos())).toBe(false);
    });
  });

  test("are taken back out of the data folder when the database refuses in the end", async () => {
    await intoNewFolder(async () => {
      const undo = await restorePhotos(framesOf(pieces(gunzipSync(readFileSync(file)), 4096)));
      expect(readdirSync(photos())).toHaveLength(2);
      undo();
      expect(readdirSync(photos())).toEqual([]);
      // A picture that was here before stays.
      keepPhotoFile(PHOTO, "p9");
      (await restorePhotos(framesOf(pieces(gunzipSync(readFileSync(file)), 4096))))();
      expect(readdirSync(photos())).toEqual([sha256(PHOTO)]);
    });
  });
});
