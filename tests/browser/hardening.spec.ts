import { readdirSync } from "node:fs";
import path from "node:path";
import type { QueueDocument } from "../../lib/reads/documents.ts";
import { expect, test } from "./installation.ts";
import { open, openWhole } from "./open.ts";

const APP = path.resolve(import.meta.dirname, "../../app");

/** Every address of the application, from its files, so that a new one is looked at without being named here. */
function addresses(kind: "page.tsx" | "route.ts", ids: Record<string, string>): string[] {
  const files = readdirSync(APP, { recursive: true, encoding: "utf8" }).filter((file) => path.basename(file) === kind);
  return files.map((file) => {
    const parts = path.dirname(file).split(path.sep);
    const named = parts.filter((part) => part !== "." && !/^\(.*\)$/.test(part));
    return `/${named.map((part) => (part.startsWith("[") ? encodeURIComponent(ids[part.slice(1, -1)] ?? "x") : part)).join("/")}`;
  });
}

const idsOf = (queue: QueueDocument) => ({
  siteId: queue.visits[0]?.site_id ?? "",
  visitId: queue.visits[0]?.visit_id ?? "",
  stationId: "x",
  importId: "x",
});

test("every page and every address of the API carries the headers that keep others out", async ({ page, demo }) => {
  const { request } = page;
  const queue = (await (await request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  const pages = addresses("page.tsx", idsOf(queue));
  const data = addresses("route.ts", idsOf(queue));
  expect(pages.length).toBeGreaterThan(10);
  expect(data.length).toBeGreaterThan(20);
  for (const at of [...pages, ...data, "/no-such-page", "/sw.js", "/icon.svg", "/manifest.webmanifest"]) {
    const headers = (await request.get(demo.url + at, { maxRedirects: 0, timeout: 60_000 })).headers();
    expect.soft(headers["x-content-type-options"], at).toBe("nosniff");
    expect.soft(headers["referrer-policy"], at).toBe("no-referrer");
    expect.soft(headers["x-frame-options"], at).toBe("DENY");
    expect.soft(headers["permissions-policy"], at).toContain("camera=()");
    expect.soft(headers["cross-origin-opener-policy"], at).toBe("same-origin");
    expect.soft(headers["x-powered-by"], at).toBeUndefined();
    expect.soft(headers["x-request-id"], at).toMatch(/^[\w-]{8,64}$/);
    if (["/sw.js", "/manifest.webmanifest"].includes(at)) continue;
    const policy = headers["content-security-policy"] ?? "";
    expect.soft(policy, at).toContain("default-src 'none'");
    expect.soft(policy, at).toContain("frame-ancestors 'none'");
    expect.soft(policy, at).not.toMatch(/unsafe-(inline|eval)|\*|https?:/);
  }
});

test("each answer has a nonce of its own, on every script of the page and on nothing else", async ({
  request,
  demo,
}) => {
  const nonces = new Set<string>();
  for (let i = 0; i < 3; i++) {
    const reply = await request.get(`${demo.url}/sites`);
    const nonce = /'nonce-([^']+)'/.exec(reply.headers()["content-security-policy"] ?? "")?.[1] ?? "";
    expect(nonce.length).toBeGreaterThan(20);
    nonces.add(nonce);
    const html = await reply.text();
    const scripts = html.match(/<script\b[^>]*>/g) ?? [];
    expect(scripts.length).toBeGreaterThan(3);
    for (const script of scripts) expect(script).toContain(`nonce="${nonce}"`);
    expect(html).not.toMatch(/<[a-z][^>]*\sstyle="(?!display:none")/);
    expect(html).not.toMatch(/<[a-z][^>]*\son[a-z]+="/);
  }
  expect(nonces.size).toBe(3);
});

// That nothing is blocked on any other page is seen by the walk over every page (demo.spec.ts): the browser says it as an error.
test("under the policy nothing is blocked: charts are drawn and take the pointer, the service worker runs", async ({
  page,
  demo,
}) => {
  const trouble: string[] = [];
  page.on("console", (m) => {
    // An address with a made-up id is not there; that is said on its page.
    if (["error", "warning"].includes(m.type()) && !m.text().includes("status of 404")) trouble.push(m.text());
  });
  page.on("pageerror", (e) => trouble.push(e.message));
  const queue = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  await openWhole(page, `${demo.url}/sites/${queue.visits[0]?.site_id}`);
  const chart = page.locator("[data-chart=evidence][data-painted]");
  await expect(chart).toBeVisible();
  expect((await chart.boundingBox())?.height).toBeGreaterThan(100);
  const band = page.locator(".prob .band").first();
  expect(await band.evaluate((e) => getComputedStyle(e).width)).not.toBe("0px");
  // What the pointer does to the picture, it has done by the frame after the next.
  await chart.hover({ position: { x: 400, y: 40 } });
  await page.evaluate(() => new Promise((resolve) => requestAnimationFrame(() => requestAnimationFrame(resolve))));
  await openWhole(page, `${demo.url}/visits/${encodeURIComponent(queue.visits[0]?.visit_id ?? "")}`);
  await page.waitForFunction(() => navigator.serviceWorker?.ready.then(() => true));
  expect(trouble).toEqual([]);
});

test("an injected script does not run, however it comes in", async ({ page, demo }) => {
  await page.goto(
    `${demo.url}/sites?search=${encodeURIComponent("<script>window.ran=1</script><img src=x onerror=window.ran=1>")}`,
  );
  const ran = await page.evaluate(async () => {
    const w = window as unknown as { ran?: number };
    document.body.insertAdjacentHTML(
      "beforeend",
      '<img src="data:," onerror="window.ran=2"><a id="j" href="javascript:window.ran=3">x</a>',
    );
    const inline = document.createElement("div");
    inline.innerHTML = "<script>window.ran=4</" + "script>";
    document.body.append(inline);
    const spoilt = document.querySelector("img[src='data:,']") as HTMLImageElement;
    const failed = new Promise((resolve) => spoilt.addEventListener("error", resolve));
    (document.getElementById("j") as HTMLAnchorElement).click();
    await failed;
    // What the press would have run is due before the frame after the next.
    for (let frame = 0; frame < 2; frame++) await new Promise(requestAnimationFrame);
    return w.ran ?? null;
  });
  expect(ran).toBeNull();
});

test("the state of the system is on a page and in numbers, and metrics are not for other machines", async ({
  page,
  demo,
}) => {
  await open(page, `${demo.url}/system`);
  await expect(page.getByRole("heading", { name: "System" })).toBeVisible();
  await expect(page.getByRole("row", { name: /Weather 2026-/ })).toBeVisible();
  await expect(page.getByText("Worker last heard of")).toBeVisible();
  const metrics = await (await page.request.get(`${demo.url}/api/metrics`)).text();
  expect(metrics).toMatch(/^raintrip_database_up 1$/m);
  expect(metrics).toMatch(/^raintrip_jobs\{queue="import\.run",state="waiting"\} 0$/m);
  expect(metrics).toMatch(/^raintrip_sites\{account="1"\} 120$/m);
  expect(metrics).toMatch(/^raintrip_http_answer_seconds_count\{kind="page",status="2xx"\} [1-9]/m);
  expect(await (await page.request.get(`${demo.url}/api/health/ready`)).json()).toMatchObject({
    live: true,
    ready: true,
  });
  expect(await (await page.request.get(`${demo.url}/api/health/live`)).json()).toEqual({ live: true });
  const own = await page.request.get(`${demo.url}/api/health/live`, {
    headers: { "x-request-id": "my-own-request-1" },
  });
  expect(own.headers()["x-request-id"]).toBe("my-own-request-1");
});

test("what the server logs of requests names them, and no secret of a link, a token, a session or a sign-in", async ({
  page,
  demo,
}) => {
  const { request } = page;
  const secret = (what: string) => `${what}-secret-5f0c2a`;
  const asked = [
    request.get(`${demo.url}/shared/${secret("share")}`),
    request.get(`${demo.url}/calendar/${secret("feed")}.ics`),
    request.get(`${demo.url}/api/calendar/${secret("feed")}`),
    request.get(`${demo.url}/api/v1/sites?token=${secret("query")}`, {
      headers: { authorization: `Bearer ${secret("bearer")}` },
    }),
    request.get(`${demo.url}/api/auth/oauth2/callback/oidc?code=${secret("code")}&state=x`, { maxRedirects: 0 }),
    request.post(`${demo.url}/api/auth/sign-in/email`, {
      headers: { origin: demo.url },
      data: { email: "nobody@example.test", password: secret("password") },
    }),
  ];
  await Promise.all(asked);
  const session = (await page.context().cookies()).find((cookie) => cookie.name.includes("session_token"));
  const said = () => demo.said();
  await expect.poll(said).toContain('"path":"/api/auth/sign-in/email"');
  await expect.poll(said).toContain('"path":"/shared/…"');
  expect(said()).not.toContain("-secret-5f0c2a");
  expect(said()).not.toContain(decodeURIComponent(session?.value ?? "none").split(".")[0]);
});
