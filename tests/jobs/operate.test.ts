import { spawn, spawnSync } from "node:child_process";
import http from "node:http";
import type { AddressInfo } from "node:net";
import path from "node:path";
import { afterEach, beforeAll, describe, expect, test } from "vitest";
import { installQueue } from "../../lib/jobs/boss.ts";
import { startWorker } from "../../lib/jobs/worker.ts";
import { readHealth } from "../../lib/reads/health.ts";
import { admitToMetrics, readMetrics } from "../../lib/reads/metrics.ts";
import { readSystem } from "../../lib/reads/system.ts";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { pendingMigrations } from "../../lib/store/migrate.ts";
import { systemTransaction } from "../../lib/store/transaction.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { BASE_DROP, dropFolder } from "../support/drop-folder.ts";
import { useTestDatabase } from "../support/test-database.ts";

const database = useTestDatabase();
const root = path.resolve(import.meta.dirname, "../..");
beforeAll(() => installQueue(database().address));
afterEach(() => {
  delete process.env.RAINTRIP_METRICS_TOKEN;
});

/** Run a piece of a script as the program runs it. */
const script = (text: string, env: Record<string, string> = {}) =>
  spawnSync(process.execPath, ["--conditions=react-server", "--import", "tsx", "--input-type=module", "-e", text], {
    cwd: root,
    encoding: "utf8",
    env: { ...process.env, ...env },
  });

describe("state of the system", () => {
  test("says what is stored, what waits and what needs a person", async () => {
    const bad = `${BASE_DROP["sites.csv"]}S3,Bad,North,95,-74,America/New_York,5,4\n`;
    await importPaths(LOCAL_ACTOR, [dropFolder({ ...BASE_DROP, "sites.csv": bad })]);
    const before = await readSystem(LOCAL_ACTOR);
    expect(before.scores).toMatchObject({ sites: 2, stale: 2, lastComputed: null });
    expect(before.imports).toMatchObject({ open: 0, setAsideLast: 1, setAside30Days: 1 });
    expect(before.worker).toEqual({ seenAt: null, running: false });
    expect(before.attention.join(" ")).toMatch(/No worker .* 1 rows aside/);
    const stop = await startWorker(database());
    for (let i = 0; i < 200 && (await readSystem(LOCAL_ACTOR)).scores.stale > 0; i++)
      await new Promise((resolve) => setTimeout(resolve, 100));
    await stop();
    const after = await readSystem(LOCAL_ACTOR);
    expect(after.scores.stale).toBe(0);
    expect(after.scores.lastComputed).not.toBeNull();
    expect(after.worker.running).toBe(true);
  });

  test("says why an import is held up", async () => {
    const held = () =>
      systemTransaction(
        systemActor(1),
        (tx) => tx`INSERT INTO import_drop (account_id, import_id, name, requested_by, status, error)
        VALUES (1, 'held', 'x', 'test', 'running', 'The disk is full. Free some space.')`,
      );
    await held();
    expect((await readSystem(LOCAL_ACTOR)).attention).toContain(
      "An import is held up. The disk is full. Free some space.",
    );
    await systemTransaction(
      systemActor(1),
      (tx) => tx`UPDATE import_drop SET status = 'cancelled' WHERE import_id = 'held'`,
    );
    expect((await readSystem(LOCAL_ACTOR)).imports.heldUp).toBeNull();
  });

  test("gives the same as metrics in Prometheus' text format", async () => {
    const { text, contentType } = await readMetrics();
    expect(contentType).toContain("version=0.0.4");
    expect(text).toMatch(/^# TYPE raintrip_jobs gauge$/m);
    expect(text).toMatch(/^raintrip_sites\{account="1"\} 2$/m);
    expect(text).toMatch(/^raintrip_set_aside_rows\{account="1"\} 1$/m);
    expect(text).toMatch(/^raintrip_database_up 1$/m);
    // Every line is a comment or a sample (Prometheus exposition format 0.0.4).
    for (const line of text.split("\n").filter(Boolean))
      expect(line).toMatch(/^(# (HELP|TYPE) .+|[a-z_:][a-z0-9_:]*(\{[^}]*\})? (NaN|[-+0-9.e]+))$/i);
  });

  test("gives metrics to this machine, to others only with the token, and with one set to nobody without", () => {
    expect(() => admitToMetrics(null, "loopback")).not.toThrow();
    expect(() => admitToMetrics(null, "remote")).toThrow(/RAINTRIP_METRICS_TOKEN/);
    expect(() => admitToMetrics(null, null)).toThrow();
    process.env.RAINTRIP_METRICS_TOKEN = "a-token";
    expect(() => admitToMetrics(null, "loopback")).toThrow();
    expect(() => admitToMetrics("Bearer wrong", "remote")).toThrow();
    expect(() => admitToMetrics("Bearer a-token", "remote")).not.toThrow();
  });

  test("is ready only with this release's tables", async () => {
    expect(await readHealth()).toEqual({ live: true, ready: true, says: "ready" });
    expect(await pendingMigrations(database().sql)).toEqual([]);
  });
});

describe("log", () => {
  test("writes one JSON object a line with the ids at hand, and no secret", () => {
    const { stderr } = script(
      `import { log, withLogContext } from "./lib/store/log.ts";
       const error = Object.assign(new Error("gone"), { code: "57P01", client: { password: "hunter2" } });
       withLogContext({ request_id: "r-1" }, () => withLogContext({ job_id: "j-1" }, () => log.error({ err: error, token: "hunter2", headers: { authorization: "hunter2" } }, "failed")));
       log.info("below the level");`,
    );
    const lines = stderr.trim().split("\n");
    expect(lines).toHaveLength(1);
    expect(JSON.parse(lines[0] as string)).toMatchObject({
      level: "error",
      msg: "failed",
      request_id: "r-1",
      job_id: "j-1",
      err: { message: "gone", code: "57P01" },
    });
    expect(stderr).not.toContain("hunter2");
  });
});

describe("traces", () => {
  test("go to the collector that is configured, and nothing is sent without one", async () => {
    const got: { path: string; body: string }[] = [];
    const collector = http.createServer((request, response) => {
      let body = "";
      request.on("data", (chunk) => {
        body += chunk;
      });
      request.on("end", () => {
        got.push({ path: request.url ?? "", body });
        response.end("{}");
      });
    });
    await new Promise<void>((resolve) => collector.listen(0, "127.0.0.1", resolve));
    const { port } = collector.address() as AddressInfo;
    const traced = (env: Record<string, string>) =>
      new Promise<void>((resolve) => {
        const text = `import { trace } from "@opentelemetry/api"; import { startTracing } from "./lib/cli/tracing.mjs";
          const end = await startTracing("raintrip-test");
          trace.getTracer("raintrip").startActiveSpan("job site.score", (span) => span.end());
          const attributes = { "http.target": "/calendar/hunter2.ics?x=1", "url.full": "https://raintrip.example/api/auth/oauth2/callback/oidc?code=hunter3" };
          trace.getTracer("raintrip").startActiveSpan("GET /shared/hunter4", { attributes }, (span) => span.end());
          await end();`;
        spawn(process.execPath, ["--input-type=module", "-e", text], {
          cwd: root,
          env: { ...process.env, ...env },
        }).once("exit", () => resolve());
      });
    await traced({});
    expect(got).toEqual([]);
    await traced({ OTEL_EXPORTER_OTLP_ENDPOINT: `http://127.0.0.1:${port}` });
    expect(got.map((one) => one.path)).toEqual(["/v1/traces"]);
    expect(got[0]?.body).toContain("job site.score");
    expect(got[0]?.body).toContain("raintrip-test");
    expect(got[0]?.body).toContain("/calendar/…");
    expect(got[0]?.body).not.toContain("hunter");
    collector.close();
  });
});
