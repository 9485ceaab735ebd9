import { mkdtempSync, readdirSync, readFileSync, rmSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import postgres from "postgres";
import { afterAll, beforeAll, describe, expect, test, vi } from "vitest";
import { OPERATIONS, type Operation, ROLES } from "../../lib/core/permissions.ts";
import { installQueue } from "../../lib/jobs/boss.ts";
import { openLossRunIfDue } from "../../lib/jobs/loss-run.ts";
import { refreshScores } from "../../lib/jobs/refresh-scores.ts";
import { LOCAL_ACTOR, systemActor } from "../../lib/store/actor.ts";
import { readTransaction, systemTransaction } from "../../lib/store/transaction.ts";
import { makeToken } from "../../lib/writes/api-tokens.ts";
import { importPaths } from "../../lib/writes/import-paths.ts";
import { writeDemoDrop } from "../../seed/write-demo.ts";
import { appRoutes, type FoundRoute, serverActionFiles } from "../support/app-routes.ts";
import { AGREED, ROUTES, type Rule, rowOf } from "../support/route-table.ts";
import { ORIGIN, signedInAs } from "../support/signed-in.ts";
import { useTestDatabase } from "../support/test-database.ts";

/** What Next would hand to the page or route of the request that is being asked. */
const asked = vi.hoisted(() => ({ cookie: "" }));
vi.mock("next/headers", () => ({
  headers: async () => new Headers({ "x-raintrip-peer": "loopback" }),
  cookies: async () => ({
    get: (name: string) => {
      const [own, ...rest] = asked.cookie.split("=");
      return own === name ? { name, value: decodeURIComponent(rest.join("=")) } : undefined;
    },
  }),
}));

const database = useTestDatabase();
process.env.RAINTRIP_SECRET = "a secret of the tests that is long enough for anybody";

interface Asker {
  name: string;
  /** Letter in the agreed table; null: nobody, or somebody whom no row lets in. */
  letter: string | null;
  cookie: string;
  token: string | null;
  /** Names of sites that this asker must never be told. */
  hidden: string[];
}

const askers: Asker[] = [];
let params: Record<string, string> = {};
let data = "";

beforeAll(async () => {
  data = mkdtempSync(path.join(os.tmpdir(), "raintrip-permissions-"));
  process.env.RAINTRIP_DATA = data;
  await installQueue(database().address);
  const drop = path.join(data, "drop");
  await writeDemoDrop(drop, { seed: "demo", sites: 10, days: 200, endDay: "2026-10-31" });
  await importPaths(LOCAL_ACTOR, [drop]);
  await refreshScores(LOCAL_ACTOR, { now: Date.now() });
  const owner = postgres(database().address.ownerUrl, { max: 1 });
  await owner.begin(async (tx) => {
    await tx`SELECT set_config('raintrip.account', '2', true), set_config('raintrip.role', 'system', true)`;
    await tx`INSERT INTO account (account_id, name) VALUES (2, 'Second account')`;
  });
  await owner.end();

  const sites = await readTransaction(
    LOCAL_ACTOR,
    (tx) =>
      tx<{ site_id: string; name: string; portfolio: string }[]>`SELECT site_id, name, portfolio FROM site ORDER BY 1`,
  );
  const [first] = sites;
  if (!first) throw new Error("the demo has no sites");
  await systemTransaction(LOCAL_ACTOR, async (tx) => {
    await tx`DELETE FROM visit`;
    await tx`INSERT INTO visit (account_id, visit_id, site_id, crew_id) VALUES (1, 'V-walk', ${first.site_id}, 'C1')`;
  });
  const [queued] = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ id: string }[]>`SELECT proposal -> 'visit' ->> 'visit_id' AS id FROM standing
      WHERE site_id = ${first.site_id}`,
  );
  const drops = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ import_id: string }[]>`SELECT import_id FROM import_drop`,
  );
  const [station] = await readTransaction(
    LOCAL_ACTOR,
    (tx) => tx<{ id: string }[]>`SELECT station_id AS id FROM station LIMIT 1`,
  );
  params = {
    siteId: first.site_id,
    visitId: queued?.id ?? "none",
    stationId: station?.id ?? "none",
    importId: drops[0]?.import_id ?? "none",
    planId: "plan-none",
    runId: "none",
    secret: "none",
    makeSafeId: "none",
    reportId: "none",
    documentId: "00000000-0000-4000-8000-000000000001",
    photoId: "00000000-0000-4000-8000-000000000001",
    personId: "p-nobody",
    tokenId: "t-none",
    sessionId: "none",
  };
  const named = (keep: (s: (typeof sites)[number]) => boolean) => sites.filter((s) => !keep(s)).map((s) => s.name);
  const letters = { administrator: "A", manager: "M", dispatcher: "D", owner: "O", technician: "T" } as const;
  for (const role of ROLES) {
    const scope = role === "owner" ? { portfolios: [first.portfolio] } : role === "technician" ? { crewId: "C1" } : {};
    const { cookie } = await signedInAs(role, scope);
    const hidden =
      role === "owner"
        ? named((s) => s.portfolio === first.portfolio)
        : role === "technician"
          ? named((s) => s.site_id === first.site_id)
          : [];
    askers.push({ name: role, letter: letters[role], cookie, token: null, hidden });
  }
  for (const role of ["administrator", "owner"] as const) {
    const { cookie } = await signedInAs(role, { accountId: 2, portfolios: [first.portfolio] });
    askers.push({
      name: `${role} of another account`,
      letter: letters[role],
      cookie,
      token: null,
      hidden: named(() => false),
    });
  }
  const token = async (scope: "read" | "import", portfolios: string[]) =>
    (await makeToken(LOCAL_ACTOR, { name: "walk", scopes: [scope], days: 1, portfolios })).token;
  askers.push({ name: "token for reading", letter: "r", cookie: "", token: await token("read", []), hidden: [] });
  const held = { token: await token("read", [first.portfolio]), hidden: named((s) => s.portfolio === first.portfolio) };
  askers.push({ name: "token held to a book", letter: "h", cookie: "", ...held });
  askers.push({ name: "token for imports", letter: "i", cookie: "", token: await token("import", []), hidden: [] });
  askers.push({ name: "unknown token", letter: null, cookie: "", token: "rt_unknown", hidden: named(() => false) });
  askers.push({ name: "nobody", letter: null, cookie: "", token: null, hidden: named(() => false) });
}, 240_000);
afterAll(() => rmSync(data, { recursive: true, force: true }));

const filled = (text: string) => text.replace(/:(\w+)/g, (whole, name: string) => params[name] ?? whole);

interface Answer {
  /** reached: the door let the asker in, whatever it then found. */
  outcome: "reached" | "unauthorized" | "forbidden";
  status: number;
  text: string;
}

async function ask(route: FoundRoute, asker: Asker): Promise<Answer> {
  asked.cookie = asker.cookie;
  return route.method === "PAGE" ? askPage(route) : askRoute(route, asker);
}

async function askPage(route: FoundRoute): Promise<Answer> {
  const page = (await import(route.file)) as { default: (props: unknown) => unknown };
  try {
    const made = await page.default({ params: Promise.resolve(params), searchParams: Promise.resolve({}) });
    return { outcome: "reached", status: 200, text: JSON.stringify(made, withoutCircles()) ?? "" };
  } catch (error) {
    const { digest = "", code } = error as { digest?: string; code?: string };
    if (code === "forbidden") return { outcome: "forbidden", status: 403, text: "" };
    if (digest.startsWith("NEXT_REDIRECT") && digest.includes("/sign-in"))
      return { outcome: "unauthorized", status: 401, text: "" };
    if (digest.startsWith("NEXT_REDIRECT")) return { outcome: "reached", status: 307, text: "" };
    if (digest.startsWith("NEXT_HTTP_ERROR_FALLBACK;404")) return { outcome: "reached", status: 404, text: "" };
    throw error;
  }
}

function withoutCircles() {
  const seen = new WeakSet();
  return (key: string, value: unknown) => {
    if (key === "_owner" || key === "_store" || typeof value === "bigint") return undefined;
    if (typeof value === "object" && value !== null) {
      if (seen.has(value)) return undefined;
      seen.add(value);
    }
    return value;
  };
}

async function askRoute(route: FoundRoute, { token }: Asker): Promise<Answer> {
  const { body, query } = rowOf(route.key);
  const module = (await import(route.file)) as Record<
    string,
    (request: Request, context: unknown) => Promise<Response>
  >;
  const address = route.address.replace(/\[(\w+)\]/g, (_, name: string) => encodeURIComponent(params[name] ?? name));
  const request = new Request(`${ORIGIN}${address}${query ? `?${filled(query)}` : ""}`, {
    method: route.method,
    headers: {
      origin: ORIGIN,
      "x-raintrip-peer": "loopback",
      ...(body ? { "content-type": "application/json" } : {}),
      ...(token ? { authorization: `Bearer ${token}` } : {}),
    },
    ...(body ? { body: filled(JSON.stringify(body)) } : {}),
  });
  const reply = (await module[route.method]?.(request, { params: Promise.resolve(params) })) as Response;
  const outcome = reply.status === 401 ? "unauthorized" : reply.status === 403 ? "forbidden" : "reached";
  return { outcome, status: reply.status, text: await reply.text() };
}

/** What the agreed table says of an asker at a route. Only the API proper looks at tokens. */
function agreed(route: FoundRoute, rule: Rule, { letter, token }: Asker): Answer["outcome"] {
  if (rule === "open") return "reached";
  if (letter === null || (token !== null && !route.address.startsWith("/api/v1/"))) return "unauthorized";
  return AGREED[rule].includes(letter) ? "reached" : "forbidden";
}

describe("the written table", () => {
  test("has a row for every page and every method of every route, and none for what is not there", () => {
    const found = appRoutes().map((route) => route.key);
    const missing = found.filter((key) => !(key in ROUTES));
    expect(missing, "add a line for each to ROUTES in tests/support/route-table.ts").toEqual([]);
    expect(
      Object.keys(ROUTES).filter((key) => !found.includes(key)),
      "take these lines out",
    ).toEqual([]);
    expect(serverActionFiles(), "server actions need rows of their own").toEqual([]);
  });

  test("is the one in the code", () => {
    const letters: Record<string, string> = {
      administrator: "A",
      manager: "M",
      dispatcher: "D",
      owner: "O",
      technician: "T",
    };
    const inCode = Object.entries(OPERATIONS).map(([operation, rule]) => {
      const people = rule.roles.map((role) => letters[role]).join("");
      const scopes: readonly string[] = "scopes" in rule ? rule.scopes : [];
      const held = scopes.includes("read") && !("whole" in rule) ? "h" : "";
      const tokens = scopes.map((scope) => scope[0]).join("") + held;
      return [operation as Operation, tokens ? `${people} ${tokens}` : people];
    });
    expect(Object.fromEntries(inCode)).toEqual(AGREED);
  });

  test("is asked first by every door that takes an actor", () => {
    const doors = ["reads", "writes"].flatMap((room) =>
      readdirSync(`lib/${room}`)
        .filter((name) => name.endsWith(".ts"))
        .map((name) => `lib/${room}/${name}`),
    );
    const open = doors.flatMap((file) => {
      const text = readFileSync(file, "utf8");
      return [...text.matchAll(/^export (?:async )?function\*? (\w+)[^(]*\(\s*actor: Actor[\s\S]*?\{\n([^\n]*)\n/gm)]
        .filter(([, , firstLine]) => !firstLine?.includes("authorise(actor, "))
        .map(([, name]) => `${file} ${name}`);
    });
    expect(
      open.filter((door) => !WAITS_ONLY.includes(door)),
      "begin each with authorise(actor, OPERATION)",
    ).toEqual([]);
  });
});

/** Not a door of its own: waits inside doors that have asked. */
const WAITS_ONLY = ["lib/reads/when-fresh.ts whenFresh"];

/** There is no worker here: what a change made stale is scored, and a loss run is one that a person stopped. */
async function doTheWorkersPart(): Promise<void> {
  await refreshScores(LOCAL_ACTOR, { now: Date.now() });
  for (const actor of [systemActor(1), systemActor(2)]) {
    await openLossRunIfDue(actor);
    await systemTransaction(actor, (tx) => tx`UPDATE loss_run SET status = 'cancelled' WHERE status = 'waiting'`);
  }
}

describe("every route, asked by everybody", () => {
  let cells = 0;
  for (const route of appRoutes()) {
    test(route.key, async () => {
      const { rule } = rowOf(route.key);
      const found: string[] = [];
      const table: string[] = [];
      await doTheWorkersPart();
      for (const asker of askers) {
        const answer = await ask(route, asker);
        const due = agreed(route, rule, asker);
        found.push(`${asker.name}: ${answer.outcome}`);
        table.push(`${asker.name}: ${due}`);
        // Wrong for a body or query that does not reach the door; the row then needs one that does.
        if (due !== answer.outcome) found.push(`${answer.status} ${answer.text.slice(0, 300)}`);
        cells++;
        expect(answer.status, `${asker.name}: ${answer.text.slice(0, 300)}`).toBeLessThan(500);
        for (const name of asker.hidden) expect(answer.text, `${asker.name} is told of ${name}`).not.toContain(name);
      }
      expect(found).toEqual(table);
    });
  }

  test("shows each asker what is theirs, so that the names looked for above are such as replies hold", async () => {
    const route = appRoutes().find((r) => r.key === "GET /api/pages/sites") as FoundRoute;
    const rows = async (name: string) => {
      const answer = await ask(route, askers.find((a) => a.name === name) as Asker);
      return (JSON.parse(answer.text) as { rows: { siteId: string; portfolio: string }[] }).rows;
    };
    const all = await rows("administrator");
    expect(all).toHaveLength(10);
    const own = all.find((row) => row.siteId === params.siteId);
    expect(await rows("technician")).toEqual([own]);
    expect(await rows("owner")).toEqual(all.filter((row) => row.portfolio === own?.portfolio));
    expect(await rows("administrator of another account")).toEqual([]);
    expect(await rows("owner of another account")).toEqual([]);
  });

  test("was a whole walk", () => {
    console.log(`permission table: ${cells} cells, ${appRoutes().length} routes and pages, ${askers.length} askers`);
    expect(cells).toBe(appRoutes().length * askers.length);
    expect(cells).toBeGreaterThan(500);
  });
});
