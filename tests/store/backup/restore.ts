import { existsSync, readFileSync, writeFileSync } from "node:fs";
import path from "node:path";
import { gunzipSync, gzipSync } from "node:zlib";
import { describe, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../../../lib/store/actor.ts";
import { auditChain } from "../../../lib/store/audit-chain.ts";
import { type Frame, frameBytes, framesOf, MAGIC } from "../../../lib/store/backup-frames.ts";
import { closeDatabase, openDatabase } from "../../../lib/store/database.ts";
import { checkBackup, restore } from "../../../lib/store/restore.ts";
import { readTransaction, writeTransaction } from "../../../lib/store/transaction.ts";
import { asOwner, data, database, done, emptyDatabase, file, forged, ODD, OTHER, pieces, sums } from "./scene.ts";

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
