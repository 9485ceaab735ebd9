import { spawn } from "node:child_process";
import { mkdtempSync, rmSync, writeFileSync } from "node:fs";
import http from "node:http";
import type { AddressInfo } from "node:net";
import os from "node:os";
import path from "node:path";
import { gunzipSync } from "node:zlib";
import { afterAll, beforeAll, describe, expect, test } from "vitest";

// A registry that knows what it is told to know; npm itself asks it and reckons from its answer.
let advisories: Record<string, unknown> = {};
let status = 200;
const asked: string[] = [];
const registry = http.createServer((request, response) => {
  const parts: Buffer[] = [];
  request.on("data", (part) => parts.push(part));
  request.on("end", () => {
    asked.push(`${request.method} ${request.url}`);
    const answer = (body: unknown) =>
      response.writeHead(status, { "content-type": "application/json" }).end(JSON.stringify(body));
    if (request.method === "GET")
      return answer({
        name: "left-door",
        "dist-tags": { latest: "2.0.0" },
        versions: {
          "1.0.0": { name: "left-door", version: "1.0.0" },
          "2.0.0": { name: "left-door", version: "2.0.0" },
        },
      });
    const body = Buffer.concat(parts);
    const wanted = JSON.parse((request.headers["content-encoding"] === "gzip" ? gunzipSync(body) : body).toString());
    answer(Object.fromEntries(Object.entries(advisories).filter(([name]) => name in wanted)));
  });
});
const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-audit-"));
let url = "";
beforeAll(async () => {
  await new Promise<void>((resolve) => registry.listen(0, "127.0.0.1", resolve));
  url = `http://127.0.0.1:${(registry.address() as AddressInfo).port}/`;
  const own = {
    name: "audited",
    version: "1.0.0",
    dependencies: { "left-door": "1.0.0" },
    devDependencies: { "test-door": "1.0.0" },
  };
  writeFileSync(path.join(folder, "package.json"), JSON.stringify(own));
  writeFileSync(
    path.join(folder, "package-lock.json"),
    JSON.stringify({
      name: "audited",
      version: "1.0.0",
      lockfileVersion: 3,
      packages: {
        "": own,
        "node_modules/left-door": { version: "1.0.0" },
        "node_modules/test-door": { version: "1.0.0", dev: true },
      },
    }),
  );
});
afterAll(() => {
  registry.close();
  rmSync(folder, { recursive: true, force: true });
});

/** In a process of its own: it waits for npm, and this process has to answer npm. */
function audit(address: string): Promise<{ kind: string; says: string }> {
  const text = `import { auditDependencies } from ${JSON.stringify(path.resolve("tests/support/dependency-audit.mjs"))};
    console.log(JSON.stringify(auditDependencies(${JSON.stringify(folder)})));`;
  const child = spawn(process.execPath, ["--input-type=module", "-e", text], {
    env: {
      ...process.env,
      npm_config_registry: address,
      npm_config_cache: mkdtempSync(path.join(folder, "cache-")),
      NO_PROXY: "127.0.0.1",
      no_proxy: "127.0.0.1",
    },
    stdio: ["ignore", "pipe", "inherit"],
  });
  return new Promise((resolve) => {
    let said = "";
    child.stdout.on("data", (chunk) => {
      said += chunk;
    });
    child.once("close", () => resolve(JSON.parse(said)));
  });
}
const advisory = (severity: string) => [
  {
    id: 1,
    url: "https://advisories.example/1",
    title: "The door stands open",
    severity,
    vulnerable_versions: "<2.0.0",
    cwe: [],
    cvss: { score: 0 },
  },
];

describe("the dependency audit", () => {
  test("tells serious faults of what runs with the program, lesser ones, and none", async () => {
    advisories = { "left-door": advisory("high"), "test-door": advisory("critical") };
    const serious = await audit(url);
    expect(serious.kind).toBe("serious");
    expect(serious.says).toMatch(/^1 serious and 0 lesser: left-door \S+ \(high, an update mends it\)$/);
    advisories = { "left-door": advisory("low") };
    expect((await audit(url)).kind).toBe("less");
    advisories = {};
    expect((await audit(url)).kind).toBe("clean");
    expect(asked.some((line) => line.startsWith("POST"))).toBe(true);
  });

  test("says that it did not run where nobody answers, and neither passes as clean nor fails", async () => {
    status = 405;
    expect(await audit(url)).toEqual({ kind: "not run", says: "not run: the registry answered 405 to the audit" });
    status = 200;
    const gone = await audit("http://127.0.0.1:9/");
    expect(gone.kind).toBe("not run");
    expect(gone.says).toMatch(/^not run: no network, or no registry \(.+\)$/);
  });
});
