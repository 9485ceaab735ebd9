import { Writable } from "node:stream";
import fc from "fast-check";
import { describe, expect, test } from "vitest";
import { auditChain } from "../../../lib/store/audit-chain.ts";
import { FRAME_KINDS, type Frame, frameBytes, framesOf, MAGIC } from "../../../lib/store/backup-frames.ts";
import { copyIn, copyOut } from "../../../lib/store/copy-stream.ts";
import { gzipInto } from "../../../lib/store/gzip-into.ts";
import { restore } from "../../../lib/store/restore.ts";
import { asOwner, database, emptyDatabase, file, pieces } from "./scene.ts";

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
