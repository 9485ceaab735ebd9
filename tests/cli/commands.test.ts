import { spawn, spawnSync } from "node:child_process";
import { chmodSync, existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import net from "node:net";
import os from "node:os";
import path from "node:path";
import { afterAll, describe, expect, test } from "vitest";
import { checkNode } from "../../lib/cli/start.mjs";
import {
  ImportDocument,
  PlanDocument,
  QueueDocument,
  ScoreDocument,
  WeatherDocument,
} from "../../lib/reads/documents.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";

const root = path.resolve(import.meta.dirname, "..", "..");
const data = mkdtempSync(path.join(os.tmpdir(), "raintrip-cli-"));
chmodSync(data, 0o755);
afterAll(() => rmSync(data, { recursive: true, force: true }));

const CLI = ["--conditions=react-server", "--import", "tsx", "lib/cli/main.ts"];

function raintrip(args: string[], env: Record<string, string> = {}) {
  const { DATABASE_URL: _, ...rest } = process.env;
  const done = spawnSync(process.execPath, [...CLI, ...args], {
    cwd: root,
    encoding: "utf8",
    env: { ...rest, RAINTRIP_DATA: data, ...env },
  });
  return { code: done.status, out: done.stdout, err: done.stderr, json: () => JSON.parse(done.stdout) as unknown };
}

describe("raintrip", () => {
  test("imports, scores, queues and reads weather back, each as the contract's one JSON document", () => {
    const drop = dropFolder({
      ...BASE_DROP,
      "faults.csv":
        "site_id,inverter_id,started_at,ended_at,code\nS1,I1,2026-05-01T14:00Z,2026-05-01T15:00Z,1\nS1,I1,bad,,1\n",
      "stations.csv": "station_id,latitude,longitude\nW1,40.72,-74.0\n",
      "weather.csv":
        "station_id,observed_at,precipitation_mm,temperature_c\nW1,2026-05-01T14:00Z,1.5,12\nW1,2026-05-01T15:00Z,0,12\n",
    });
    const imported = raintrip(["import", drop, "--json"]);
    expect(imported.code).toBe(1); // a row was set aside
    const document = ImportDocument.parse(imported.json());
    expect(document.files.map((f) => f.file)).toEqual([
      "sites.csv",
      "inverters.csv",
      "sections.csv",
      "faults.csv",
      "stations.csv",
      "weather.csv",
    ]);
    expect(document.files.find((f) => f.file === "faults.csv")).toMatchObject({ rows: 2, accepted: 1, set_aside: 1 });
    expect(readFileSync(document.set_aside_file as string, "utf8")).toMatch(
      /faults\.csv,3,started_at,bad,"not an ISO 8601 time/,
    );

    const score = raintrip(["score", "--json"]);
    expect(score.code, score.err).toBe(0);
    const scored = ScoreDocument.parse(score.json());
    expect(scored.as_of).toBe("2026-05-01T15:00:00.000Z");
    expect(scored.sites.map((s) => s.site_id)).toEqual(["S1", "S2"]);
    expect(scored.sites[0]?.weather).toMatchObject({ driver: "not_enough_data", q_value: null });

    const queue = QueueDocument.parse(raintrip(["queue", "--json"]).json());
    const plan = raintrip(["plan", "--from", "2026-05-04", "--days", "2", "--seed", "3", "--effort", "50", "--json"]);
    expect(plan.code, plan.err).toBe(0);
    const planned = PlanDocument.parse(plan.json());
    // No crews were imported: every visit of the queue is named as not served.
    expect(planned.routes).toEqual([]);
    expect(planned.unserved.map((u) => [u.visit_id, u.code])).toEqual(
      queue.visits.map((v) => [v.visit_id, "no_crew_day"]),
    );
    expect(raintrip(["plan", "--days", "2"]).err).toContain("--from");

    expect(queue.visits.length + queue.watch.length).toBe(2);
    const weather = WeatherDocument.parse(
      raintrip(["weather", "W1", "--from", "2026-05-01T13:00Z", "--to", "2026-05-01T16:00Z", "--json"]).json(),
    );
    expect(weather.hours.map((h) => h.precipitation_mm)).toEqual([1.5, 0, null]);
    expect(weather.totals).toEqual({ precipitation_mm: 1.5, known_hours: 2, unknown_hours: 1 });
  });

  test("wrong use is 2 with an error document and nothing else on standard output; what cannot run is 3", () => {
    for (const [args, code, says] of [
      [["score", "--as-of", "tomorrow", "--json"], 2, /as-of/],
      [["nonsense", "--json"], 2, /no command/],
      [["scores", "--json"], 2, /Did you mean .*score/],
      [["import", "--json"], 2, /at least one/],
      [["score", "--colour", "--json"], 2, /colour.*takes: --site, --as-of, --json/],
      [["score", "--as_of", "2026-05-01", "--json"], 2, /--as_of.*Did you mean .*--as-of/],
      [["score", "--site=S1", "--site", "S2", "--json"], 2, /--site is given more than once/],
      [["worker", "--json"], 2, /takes none/],
      [["weather", "W1", "--from", "2026-05-02T00:00Z", "--to", "2026-05-01T00:00Z", "--json"], 2, /after from/],
      [["import", "/no/such/file.csv", "--json"], 3, /no file or folder/],
      [["score", "--site", "NOPE", "--json"], 3, /no site/],
    ] as const) {
      const done = raintrip([...args]);
      expect(done.code, args.join(" ")).toBe(code);
      expect(JSON.stringify(done.json())).toMatch(says);
      expect(done.err).toMatch(says);
    }
  });

  test("whoever stops reading, as head does, has read enough: it ends without a word", async () => {
    const child = spawn(process.execPath, [...CLI, "help"], { cwd: root, stdio: ["ignore", "pipe", "pipe"] });
    child.stdout.destroy();
    let said = "";
    child.stderr.on("data", (chunk) => {
      said += String(chunk);
    });
    expect(await new Promise((resolve) => child.once("close", resolve))).toBe(0);
    expect(said).toBe("");
  });

  test("a database that cannot be reached is one line that says what to do", () => {
    const done = raintrip(["score", "--json"], { DATABASE_URL: "postgresql://x:y@127.0.0.1:1/none" });
    expect(done.code).toBe(3);
    expect(done.json()).toMatchObject({ error: { code: "database_unreachable" } });
    expect(done.err.trim().split("\n")).toHaveLength(1);
  });

  test("a backup restored into a new data folder gives the same score document, and not twice", () => {
    const file = path.join(data, "all.backup");
    const backup = raintrip(["backup", file, "--json"]);
    expect(backup.code, backup.err).toBe(0);
    const { tables } = backup.json() as { tables: { table: string; rows: number }[] };
    expect(tables.find((t) => t.table === "site")?.rows).toBe(2);
    const fresh = mkdtempSync(path.join(data, "fresh-"));
    chmodSync(fresh, 0o755);
    const restored = raintrip(["restore", file, "--json"], { RAINTRIP_DATA: fresh });
    expect(restored.code, restored.err).toBe(0);
    expect(restored.json()).toMatchObject({ tables, audit: [{ account: 1, firstBroken: null }] });
    const score = (env: Record<string, string>) => raintrip(["score", "--json"], env).json();
    expect(score({ RAINTRIP_DATA: fresh })).toEqual(score({}));
    const again = raintrip(["restore", file, "--json"], { RAINTRIP_DATA: fresh });
    expect(again.code).toBe(3);
    expect(again.json()).toMatchObject({ error: { code: "conflict" } });
    expect(raintrip(["backup", file]).code).toBe(2);
  });

  test("evidence of a site is written, and refused into a folder that holds something", () => {
    const out = path.join(data, "evidence");
    const made = raintrip(["evidence", "S1", "--out", out, "--json"]);
    expect(made.code, made.err).toBe(0);
    expect(made.json()).toMatchObject({
      site_id: "S1",
      as_of: "2026-05-01T15:00:00.000Z",
      manifest: path.join(out, "manifest.json"),
    });
    expect(raintrip(["verify", path.join(out, "manifest.json")]).code).toBe(0);
    expect(raintrip(["evidence", "S1", "--out", out]).code).toBe(2);
    expect(raintrip(["evidence", "S1"]).code).toBe(2);
    expect(raintrip(["evidence", "NOPE", "--out", `${out}-none`]).code).toBe(3);
  });

  test("doctor finds nothing wrong, and no command leaves the embedded server behind", () => {
    const done = raintrip(["doctor"]);
    expect(done.code, done.out).toBe(0);
    expect(done.out).toMatch(/row security/);
    expect(existsSync(path.join(data, "run", "database.json"))).toBe(false);
  });
});

describe("npm start", () => {
  const start = (env: Record<string, string>) =>
    spawnSync(process.execPath, ["lib/cli/start.mjs"], {
      cwd: root,
      encoding: "utf8",
      env: { ...process.env, RAINTRIP_DATA: data, ...env },
    });

  test("a taken port is one line that names another", async () => {
    const holder = net.createServer();
    const port = await new Promise<number>((resolve) =>
      holder.listen(0, "127.0.0.1", () => resolve((holder.address() as net.AddressInfo).port)),
    );
    const done = start({ PORT: String(port) });
    holder.close();
    expect(done.status).toBe(3);
    expect(done.stderr.trim()).toBe(
      `Raintrip: port ${port} is taken. Stop what uses it, or choose another: PORT=${port + 1} npm start`,
    );
  });

  test("a folder that cannot be written is one line that says so", () => {
    // A file where the folder should be: also root cannot make a folder there.
    const file = path.join(data, "not-a-folder");
    writeFileSync(file, "");
    const done = start({ RAINTRIP_DATA: file, PORT: "4799" });
    expect(done.status).toBe(3);
    expect(done.stderr.trim().split("\n")).toHaveLength(1);
    expect(done.stderr).toMatch(/cannot be written.*RAINTRIP_DATA/);
  });

  test("a too-old Node is refused with the version it takes, newer ones are not", () => {
    expect(checkNode("18.20.1")).toMatch(/too old.*20\.19/);
    expect(checkNode("20.18.3")).toMatch(/too old/);
    for (const version of ["20.19.0", "20.20.2", "22.1.0", "24.0.0"]) expect(checkNode(version)).toBeNull();
  });
});
