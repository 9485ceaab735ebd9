import { spawnSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, utimesSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import { gzipSync } from "node:zlib";
import { afterAll, afterEach, beforeAll, describe, expect, test } from "vitest";
import { installQueue } from "../../lib/jobs/boss.ts";
import { arrivingName, clearUploads } from "../../lib/jobs/clear-uploads.ts";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { systemTransaction } from "../../lib/store/transaction.ts";
import { createImport, endImport } from "../../lib/writes/import-drop.ts";
import { receiveUpload } from "../../lib/writes/receive-upload.ts";
import { foreignKind } from "../../lib/writes/upload-guard.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const HOUR_MS = 3_600_000;
const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-guard-"));
beforeAll(async () => {
  process.env.RAINTRIP_DATA = data;
  await installQueue(database().address);
});
afterEach(() => {
  delete process.env.RAINTRIP_MOST_UPLOAD_GB;
});
afterAll(() => {
  delete process.env.RAINTRIP_DATA;
  rmSync(data, { recursive: true, force: true });
});

const bare = (bytes: Buffer | string, headers: Record<string, string> = {}) =>
  receiveUpload(
    LOCAL_ACTOR,
    { file: "sites.csv" },
    new Headers({ "content-type": "text/csv", ...headers }),
    new Blob([bytes as Buffer<ArrayBuffer>]).stream() as ReadableStream<Uint8Array>,
  );
const form = async (files: Record<string, Buffer | string>) => {
  const body = new FormData();
  for (const [name, bytes] of Object.entries(files))
    body.append("files", new Blob([bytes as Buffer<ArrayBuffer>]), name);
  const request = new Request("http://localhost/", { method: "POST", body });
  return receiveUpload(LOCAL_ACTOR, {}, request.headers, request.body);
};
const leftOver = () => readdirSync(path.join(data, "uploads")).filter((name) => name.endsWith(".arriving"));

describe("receiveUpload", () => {
  test("refuses what no reader takes by its first bytes, whatever its name says, and says what to do", async () => {
    const zip = Buffer.concat([Buffer.from([0x50, 0x4b, 3, 4]), Buffer.alloc(100)]);
    await expect(bare(zip)).rejects.toMatchObject({
      code: "file_unreadable",
      message: expect.stringContaining("save each sheet as CSV"),
    });
    await expect(form({ "faults.csv": "site_id\nS1\n", "sites.csv": zip })).rejects.toMatchObject({
      code: "file_unreadable",
    });
    await expect(bare(Buffer.from("\ufeffsite_id", "utf16le"))).rejects.toThrow(/UTF-8/);
    expect(leftOver()).toEqual([]);
  });

  test("takes text, gzip and published formats as they are", async () => {
    expect((await bare("site_id,name\nS1,x\n")).status).toBe("waiting");
    expect((await form({ "a.csv.gz": gzipSync("a,b\n"), "b.txt": "2019 01 05 13    44\n" })).status).toBe("waiting");
    expect(foreignKind(gzipSync("x"))).toBeNull();
  });

  test("stops at the limit, declared or not, and keeps nothing of it", async () => {
    process.env.RAINTRIP_MOST_UPLOAD_GB = "0.0001";
    const long = "x,y\n".repeat(50_000);
    await expect(bare(long)).rejects.toMatchObject({
      code: "too_large",
      message: expect.stringContaining("RAINTRIP_MOST_UPLOAD_GB"),
    });
    await expect(bare("a,b\n", { "content-length": "999999" })).rejects.toMatchObject({ code: "too_large" });
    await expect(form({ "a.csv": long.slice(0, 60_000), "b.csv": long.slice(0, 60_000) })).rejects.toMatchObject({
      code: "too_large",
    });
    expect(leftOver()).toEqual([]);
  });

  test("a form without a boundary, cut off or empty is refused in words", async () => {
    const send = (type: string, text: string) =>
      receiveUpload(
        LOCAL_ACTOR,
        {},
        new Headers({ "content-type": type }),
        new Blob([text]).stream() as ReadableStream<Uint8Array>,
      );
    await expect(send("multipart/form-data", "x")).rejects.toMatchObject({ code: "wrong_use" });
    await expect(
      send(
        "multipart/form-data; boundary=q",
        '--q\r\nContent-Disposition: form-data; name="f"; filename="a.csv"\r\n\r\nhalf',
      ),
    ).rejects.toMatchObject({ code: "wrong_use" });
    await expect(form({})).rejects.toMatchObject({ code: "wrong_use" });
    await expect(form({ "../../etc/.passwd": "x" })).rejects.toMatchObject({ code: "wrong_use" });
  });
});

describe("clearUploads", () => {
  const room = path.join(data, "uploads");
  /** A folder with a file in it, both last written so many hours ago. */
  const folder = (name: string, hours: number) => {
    mkdirSync(path.join(room, name), { recursive: true });
    writeFileSync(path.join(room, name, "faults.csv"), "x");
    const at = new Date(Date.now() - hours * HOUR_MS);
    for (const part of [path.join(name, "faults.csv"), name]) utimesSync(path.join(room, part), at, at);
    return name;
  };

  test("removes what a killed process left arriving; nothing young, and nothing that a living process still takes", async () => {
    const dead = spawnSync(process.execPath, ["-e", ""]).pid;
    const gone = [
      folder(arrivingName("i-dead", dead), 2),
      folder(arrivingName("i-reused", process.pid), 25),
      folder("i-old.arriving", 2),
    ];
    const stay = [folder(arrivingName("i-young", dead), 0.5), folder(arrivingName("i-slow", process.pid), 2)];
    // A large file that is still being written makes its folder young, however old the folder itself is.
    const growing = folder(arrivingName("i-growing", dead), 30);
    writeFileSync(path.join(room, growing, "faults.csv"), "more");
    utimesSync(path.join(room, growing), new Date(0), new Date(0));
    expect((await clearUploads(database(), Date.now())).sort()).toEqual(gone.sort());
    expect(readdirSync(room)).toEqual(expect.arrayContaining([...stay, growing]));
    expect(await clearUploads(database(), Date.now())).toEqual([]);
  });

  test("removes files of imports that are over or were never on record, and keeps those that wait or failed", async () => {
    const make = async (status: string | null) => {
      const importId = await createImport(LOCAL_ACTOR, { name: "upload" });
      if (status === "failed") await endImport(LOCAL_ACTOR, importId, "for the test");
      if (status === "done")
        await systemTransaction(
          systemActor(1),
          (tx) => tx`UPDATE import_drop SET status = 'done' WHERE import_id = ${importId}`,
        );
      if (status === "asking")
        await systemTransaction(
          systemActor(1),
          (tx) => tx`UPDATE import_drop SET status = 'asking' WHERE import_id = ${importId}`,
        );
      return folder(importId, 2);
    };
    const gone = [await make("done"), folder("20260101000000-never", 2)];
    const stay = [await make("failed"), await make("asking"), await make(null), folder("20260101000001-young", 0.1)];
    expect((await clearUploads(database(), Date.now())).sort()).toEqual(gone.sort());
    expect(readdirSync(room)).toEqual(expect.arrayContaining(stay));
  });
});
