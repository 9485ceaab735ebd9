import { createHash } from "node:crypto";
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, statSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { Writable } from "node:stream";
import { gunzipSync, gzipSync } from "node:zlib";
import fc from "fast-check";
import postgres from "postgres";
import { afterAll, beforeAll, describe, expect, inject, test } from "vitest";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { LOCAL_ACTOR } from "../../lib/store/actor.ts";
import { auditChain } from "../../lib/store/audit-chain.ts";
import { type BackupDone, backUp } from "../../lib/store/backup.ts";
import { FRAME_KINDS, type Frame, frameBytes, framesOf, MAGIC } from "../../lib/store/backup-frames.ts";
import { missingPhotoLines, restorePhotos } from "../../lib/store/backup-photos.ts";
import { copyIn, copyOut } from "../../lib/store/copy-stream.ts";
import { closeDatabase, openDatabase } from "../../lib/store/database.ts";
import type { DatabaseAddress } from "../../lib/store/embedded.ts";
import { gzipInto } from "../../lib/store/gzip-into.ts";
import { keepPhotoFile, photoPath, readPhotoFile } from "../../lib/store/photo-file.ts";
import { checkBackup, restore } from "../../lib/store/restore.ts";
import { readTransaction, writeTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { makeBackup } from "../../lib/writes/make-backup.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { renamed } from "../support/renamed.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const MADE_AT = Date.UTC(2026, 10, 20, 12);
const OTHER = { accountId: 2, person: "other", role: "administrator" };
const ODD = 'tab\there, "quotes", back\\slash \\N, line\nend, 屋根 🔥, \\.';
/** Longer than two pieces of a backup, and not a whole number of them. */
const PHOTO = Buffer.alloc(700_001, "photo");
let data = "";
let file = "";
let done: BackupDone;
const made: string[] = [];

/** A new database that has this release's migrations and nothing else. */
async function emptyDatabase(): Promise<DatabaseAddress> {
  const template = inject("template");
  const name = `t_restore_${process.pid}_${made.length}`;
  made.push(name);
  const admin = postgres(inject("adminUrl"), { max: 1, onnotice: () => {} });
  await admin.unsafe(`CREATE DATABASE ${name} TEMPLATE raintrip${template.embedded ? " OWNER raintrip_owner" : ""}`);
  await admin.end();
  return { ...template, ownerUrl: renamed(template.ownerUrl, name), appUrl: renamed(template.appUrl, name) };
}

const asOwner = async <T>(address: DatabaseAddress, use: (sql: postgres.Sql) => Promise<T>): Promise<T> => {
  const owner = postgres(address.ownerUrl, { max: 1, onnotice: () => {} });
  try {
    return await use(owner);
  } finally {
    await owner.end();
  }
};
const sums = async (address: DatabaseAddress) => {
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

describe("backUp", () => {
  test("holds every row of every table of every account, counted by the database's own superuser or owner", async () => {
    const { tables } = (await checkBackup(file)).manifest;
    expect(tables).toEqual(done.tables);
    const admin = postgres(renamed(inject("adminUrl"), new URL(database().address.ownerUrl).pathname.slice(1)), {
      max: 1,
    });
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

describe("restore", () => {
  test("into an empty database gives every table back with the same checksum, and the same scores", async () => {
    const address = await emptyDatabase();
    const { tables, audit } = await restore(address, file);
    expect(tables).toEqual(done.tables);
    expect(await sums(address)).toEqual(done.tables);
    expect(audit).toMatchObject([
      { account: 1, firstBroken: null },
      { account: 2, entries: 1, firstBroken: null },
    ]);
    const db = openDatabase(address);
    try {
      const scores = (of: typeof db) =>
        readTransaction(LOCAL_ACTOR, (tx) => tx`SELECT site_id, result FROM score ORDER BY site_id, input_hash`, of);
      expect(await scores(db)).toEqual(await scores(database()));
      const crews = await readTransaction(OTHER, (tx) => tx`SELECT crew_id, base_longitude FROM crew`, db);
      expect(crews).toEqual([{ crew_id: ODD, base_longitude: 1 / 3 }]);
    } finally {
      await closeDatabase(db);
    }
  });

  test("what comes back is bound as before: row security is forced, the chain goes on, and it is append-only", async () => {
    const address = await emptyDatabase();
    await restore(address, file);
    const db = openDatabase(address);
    try {
      expect(await db.sql`SELECT 1 FROM site`).toHaveLength(0);
      const loose =
        await db.sql`SELECT c.relname FROM pg_class c JOIN pg_attribute a ON a.attrelid = c.oid AND a.attname = 'account_id'
        WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p') AND NOT c.relispartition
          AND NOT (c.relrowsecurity AND c.relforcerowsecurity)`;
      expect(loose).toEqual([]);
      const before = await readTransaction(LOCAL_ACTOR, (tx) => auditChain(tx, 1), db);
      await writeTransaction(
        LOCAL_ACTOR,
        async () => ({ result: null, note: { action: "test.write", subject: "x" } }),
        db,
      );
      const after = await readTransaction(LOCAL_ACTOR, (tx) => auditChain(tx, 1), db);
      expect(after).toEqual({ entries: before.entries + 1, firstBroken: null });
    } finally {
      await closeDatabase(db);
    }
    await asOwner(address, (owner) =>
      expect(
        owner.begin(async (tx) => {
          await tx`SELECT set_config('raintrip.account', '1', true), set_config('raintrip.role', 'system', true)`;
          await tx`DELETE FROM audit_entry`;
        }),
      ).rejects.toThrow(/append-only/),
    );
  });

  test("a database that holds anything is refused with what to do, and left as it was", async () => {
    const before = await sums(database().address);
    await expect(restore(database().address, file)).rejects.toMatchObject({
      code: "conflict",
      message: expect.stringMatching(/holds records already.*RAINTRIP_DATA.*Nothing was written/),
    });
    expect(await sums(database().address)).toEqual(before);
  });

  test("a file of another release is refused with what to do", async () => {
    const address = await emptyDatabase();
    await asOwner(address, async (owner) => {
      await owner`INSERT INTO _prisma_migrations (id, checksum, finished_at, migration_name) VALUES ('x', 'x', now(), '29990101000000_later')`;
    });
    await expect(restore(address, file)).rejects.toMatchObject({ code: "database_outdated" });
  });

  test("a damaged, cut-off or foreign file is refused and nothing is written", async () => {
    const address = await emptyDatabase();
    const empty = await sums(address);
    const bytes = readFileSync(file);
    const plain = gunzipSync(bytes);
    const flipped = (of: Buffer, at: number) => {
      const copy = Buffer.from(of);
      copy[at] = (copy[at] as number) ^ 4;
      return copy;
    };
    const step = Math.floor(bytes.length / 12);
    const spoiled: Buffer[] = [
      // The gzip header's first ten bytes hold its date and the like, which say nothing of the contents.
      ...Array.from({ length: 11 }, (_, i) => flipped(bytes, 10 + i * step)),
      flipped(bytes, bytes.length - 1),
      flipped(bytes, bytes.length - 8),
      bytes.subarray(0, bytes.length - 1),
      bytes.subarray(0, bytes.length >> 1),
      Buffer.alloc(0),
      Buffer.from("site_id\nS1\n"),
      gzipSync("site_id\nS1\n"),
      // Packed anew, so that gzip itself finds nothing wrong.
      ...[0, 3, MAGIC.length + 2, 5000, plain.length >> 1, plain.length - 100, plain.length - 3].map((at) =>
        gzipSync(flipped(plain, at), { level: 1 }),
      ),
      gzipSync(plain.subarray(0, plain.length - 200), { level: 1 }),
      gzipSync(Buffer.concat([plain, frameBytes("R", Buffer.from("1\n"))]), { level: 1 }),
      gzipSync(MAGIC),
    ];
    // A few bits of a packed file mean nothing: a copy that unpacks to the very same bytes is not damaged.
    const same = (copy: Buffer) => {
      try {
        return gunzipSync(copy).equals(plain);
      } catch {
        return false;
      }
    };
    for (const [i, content] of spoiled.entries()) {
      if (same(content)) continue;
      const bad = path.join(data, "bad.backup");
      writeFileSync(bad, content);
      await expect(restore(address, bad), `case ${i}`).rejects.toMatchObject({
        code: "file_unreadable",
        message: expect.stringMatching(/cannot be restored: .*Nothing was written/),
      });
    }
    await expect(restore(address, path.join(data, "none"))).rejects.toMatchObject({ code: "file_unreadable" });
    expect(await sums(address)).toEqual(empty);
    expect(existsSync(path.join(data, "none"))).toBe(false);
  });

  test("rows that the database refuses roll everything back, though the file's checksums fit", async () => {
    const address = await emptyDatabase();
    const empty = await sums(address);
    const frames: Frame[] = [];
    for await (const frame of framesOf(pieces(gunzipSync(readFileSync(file)), 4096))) frames.push(frame);
    // A line with too few columns: the file is whole, but that row cannot be stored.
    const bad = path.join(data, "refused.backup");
    writeFileSync(bad, forged(frames, "crew", Buffer.from("1\tbroken line\n")));
    await expect(checkBackup(bad)).resolves.toBeDefined();
    await expect(restore(address, bad)).rejects.toThrow(/missing data for column|invalid input/);
    expect(await sums(address)).toEqual(empty);
  });

  test("while somebody works in the database it waits, then says that it is in use", async () => {
    const address = await emptyDatabase();
    await asOwner(address, (owner) =>
      owner.begin(async (tx) => {
        await tx`SELECT 1 FROM crew`;
        await expect(restore(address, file, 200)).rejects.toMatchObject({ code: "busy" });
      }),
    );
  });
});

/** The same backup with one more piece of rows in a table, and a manifest that fits it. */
function forged(frames: readonly Frame[], table: string, extra: Buffer): Buffer {
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
const sha256 = (bytes: Buffer) => createHash("sha256").update(bytes).digest("hex");

async function* pieces(bytes: Buffer, size: number): AsyncGenerator<Buffer> {
  for (let at = 0; at < bytes.length; at += size) yield bytes.subarray(at, at + size);
}

describe("framesOf", () => {
  test("gives back the frames that were written, however the bytes are cut", async () => {
    const frame = fc.record({
      kind: fc.constantFrom(...FRAME_KINDS),
      payload: fc.uint8Array({ maxLength: 60 }).map((bytes) => Buffer.from(bytes)),
    });
    await fc.assert(
      fc.asyncProperty(fc.array(frame, { maxLength: 8 }), fc.integer({ min: 1, max: 40 }), async (frames, size) => {
        const bytes = Buffer.concat([MAGIC, ...frames.map((f) => frameBytes(f.kind as Frame["kind"], f.payload))]);
        const back: Frame[] = [];
        for await (const f of framesOf(pieces(bytes, size))) back.push(f);
        expect(back.map((f) => [f.kind, f.payload.toString("hex")])).toEqual(
          frames.map((f) => [f.kind, f.payload.toString("hex")]),
        );
        if (frames.length > 0)
          await expect(async () => {
            for await (const _ of framesOf(pieces(bytes.subarray(0, -1), size))) void _;
          }).rejects.toThrow(/cut off/);
      }),
    );
  });
});

describe("copyIn and copyOut", () => {
  test("an error of the server comes out instead of hanging, and the connection goes on", async () => {
    await asOwner(database().address, async (owner) => {
      const line = (text: string) => pieces(Buffer.from(text), 5);
      const copy = (text: string) =>
        owner.begin(async (tx) => {
          await tx`CREATE TEMPORARY TABLE t (n integer CHECK (n < 10)) ON COMMIT DROP`;
          await copyIn(tx, "COPY t FROM STDIN", line(text));
          const rows = await tx`SELECT count(*)::integer AS n FROM t`;
          return rows[0]?.n;
        });
      await expect(copy("1\n2\n11\n")).rejects.toThrow(/violates check constraint/);
      await expect(copy("one\n")).rejects.toThrow(/invalid input syntax/);
      expect(await copy("1\n2\n")).toBe(2);
      const failing = async function* () {
        yield Buffer.from("1\n");
        throw new Error("the source broke");
      };
      await expect(
        owner.begin(async (tx) => {
          await tx`CREATE TEMPORARY TABLE t (n integer) ON COMMIT DROP`;
          await copyIn(tx, "COPY t FROM STDIN", failing());
        }),
      ).rejects.toThrow("the source broke");
      await expect(
        owner.begin(async (tx) => {
          for await (const _ of copyOut(tx, "SELECT 1 / (n - 50000) FROM generate_series(1, 90000) n")) void _;
        }),
      ).rejects.toThrow(/division by zero/);
      const first = await owner.begin(async (tx) => {
        for await (const chunk of copyOut(tx, "SELECT repeat('x', 1000) FROM generate_series(1, 50000)")) return chunk;
        return null;
      });
      expect(first?.toString().startsWith("xxx")).toBe(true);
      const full = new Writable({ write: (_chunk, _encoding, next) => next(new Error("the disk is full")) });
      await expect(
        owner.begin((tx) => gzipInto(copyOut(tx, "SELECT md5(n::text) FROM generate_series(1, 500000) n"), full)),
      ).rejects.toThrow("the disk is full");
      expect(await owner`SELECT 1 AS one`).toEqual([{ one: 1 }]);
    });
  });
});

describe("auditChain", () => {
  test("names the first entry that was changed, taken out or put in", async () => {
    const address = await emptyDatabase();
    await restore(address, file);
    const spoil = async (change: string) =>
      asOwner(address, (owner) =>
        owner
          .begin(async (tx) => {
            await tx`SELECT set_config('raintrip.account', '1', true), set_config('raintrip.role', 'system', true)`;
            await tx`ALTER TABLE audit_entry DISABLE TRIGGER USER`;
            await tx.unsafe(change);
            const found = await auditChain(tx, 1);
            throw Object.assign(new Error("undone"), { found });
          })
          .catch((error: { found: Awaited<ReturnType<typeof auditChain>> }) => error.found?.firstBroken),
      );
    expect(await spoil("SELECT 1")).toBeNull();
    expect(await spoil("UPDATE audit_entry SET person = 'x' WHERE seq = 3")).toBe(3);
    expect(await spoil("DELETE FROM audit_entry WHERE seq = 4")).toBe(5);
    expect(await spoil("UPDATE audit_entry SET detail = '[1]' WHERE seq = 2")).toBe(2);
  });
});
