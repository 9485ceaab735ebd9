import { describe, expect, test, vi } from "vitest";
import { openApiDocument } from "../../lib/reads/openapi.ts";
import { NO_QUERY, parseApiQuery } from "../../lib/reads/parse-query.ts";
import { PlanQuery } from "../../lib/reads/plan.ts";
import { ScoreQuery } from "../../lib/reads/score.ts";
import { appRoutes, type FoundRoute } from "../support/app-routes.ts";

/** Refused before any record is looked for, so that no database is needed. */
const TOKEN = "rt_of-the-environment";
vi.stubEnv("RAINTRIP_API_TOKEN", TOKEN);

interface Described {
  parameters?: { name: string; in: string }[];
}
const described = openApiDocument().paths as Record<string, Record<string, Described>>;
const routes = appRoutes().filter((route) => route.address.startsWith("/api/v1/"));
const openApiAddress = (route: FoundRoute) => route.address.replace(/\[(\w+)\]/g, "{$1}");
const parametersOf = (route: FoundRoute): string[] =>
  (described[openApiAddress(route)]?.[route.method.toLowerCase()]?.parameters ?? [])
    .filter((p) => p.in === "query")
    .map((p) => p.name);

async function ask(route: FoundRoute, query: string): Promise<{ status: number; message: string }> {
  const module = (await import(route.file)) as Record<string, (...given: unknown[]) => Promise<Response>>;
  const request = new Request(`http://localhost:4710${route.address}?${query}`, {
    method: route.method,
    headers: { authorization: `Bearer ${TOKEN}` },
  });
  const reply = (await module[route.method]?.(request, { params: Promise.resolve({}) })) as Response;
  const { error } = (await reply.json()) as { error?: { message: string } };
  return { status: reply.status, message: error?.message ?? "" };
}

test("the description names every address and method of the API, and no other", () => {
  const inDescription = Object.entries(described).flatMap(([address, methods]) =>
    Object.keys(methods).map((method) => `${method.toUpperCase()} ${address}`),
  );
  const there = routes
    .map((route) => `${route.method} ${openApiAddress(route)}`)
    .filter((key) => key !== "GET /api/v1/openapi.json");
  expect(inDescription.toSorted()).toEqual(there.toSorted());
});

describe.each(routes.map((route) => [route.key, route] as const))("%s", (_, route) => {
  const known = parametersOf(route);

  test("refuses a parameter that it does not know, and names those of its description", async () => {
    const { status, message } = await ask(route, "colour-of-roof=red");
    expect(status).toBe(400);
    expect(message).toBe(
      `There is no parameter "colour-of-roof" here. ${
        known.length === 0 ? "This address takes none." : `This address takes: ${known.join(", ")}.`
      }`,
    );
  });

  test("refuses another spelling of each one, and says which it takes", async () => {
    for (const name of known) {
      const other = name.includes("-") ? name.replaceAll("-", "_") : name.toUpperCase();
      const { status, message } = await ask(route, `${other}=1`);
      expect([status, message], other).toEqual([400, expect.stringContaining(`Did you mean "${name}"?`)]);
    }
  });

  test("refuses each one that comes twice, whatever it says", async () => {
    for (const name of known) {
      const { status, message } = await ask(route, `${name}=1&${name}=1`);
      expect([status, message], name).toEqual([400, `Parameter "${name}" is given more than once. Give it once.`]);
    }
  });
});

test("flags are taken as the contract writes them, and json with any of them", () => {
  const at = "http://localhost:4710/api/v1/score";
  expect(parseApiQuery(ScoreQuery, `${at}?site=S1&as-of=2026-05-01&json`)).toEqual({
    site: "S1",
    "as-of": Date.parse("2026-05-01"),
  });
  expect(parseApiQuery(PlanQuery, `${at}?from=2026-05-04&days=2&seed=3&effort=50&json=true`)).toEqual({
    ...{ from: "2026-05-04", days: 2, seed: 3, effort: 50 },
  });
  expect(() => parseApiQuery(ScoreQuery, `${at}?json=false`)).toThrow('"json": every answer here is JSON');
  expect(() => parseApiQuery(NO_QUERY, `${at}?json`)).toThrow('no parameter "json"');
  expect(() => parseApiQuery(ScoreQuery, `${at}?__proto__=1`)).toThrow('no parameter "__proto__"');
  expect(() => parseApiQuery(ScoreQuery, `${at}?${"x".repeat(5000)}=1`)).toThrow(
    /^There is no parameter "x{60}…" here/,
  );
});
