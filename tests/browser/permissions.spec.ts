import AxeBuilder from "@axe-core/playwright";
import type { BrowserContext } from "@playwright/test";
import { ROLES, type Role } from "../../lib/core/permissions.ts";
import type { QueueDocument } from "../../lib/reads/documents.ts";
import { appRoutes } from "../support/app-routes.ts";
import { AGREED, rowOf } from "../support/route-table.ts";
import { expect, PASSWORD, test } from "./installation.ts";
import { open } from "./open.ts";

const LETTER: Record<Role, string> = { administrator: "A", manager: "M", dispatcher: "D", owner: "O", technician: "T" };

/** What a page or route says to a browser: shown, sent to the sign-in page, or refused. */
async function outcome(context: BrowserContext, address: string): Promise<string> {
  const reply = await context.request.get(address, { maxRedirects: 0 });
  const text = await reply.text();
  if (reply.status() === 401 || (reply.headers().location ?? "").includes("/sign-in")) return "unauthorized";
  if (reply.status() === 403 || text.includes('"digest":"forbidden"') || text.includes('data-dgst="forbidden"'))
    return "forbidden";
  return reply.status() < 500 ? "reached" : `${reply.status()} ${text.slice(0, 200)}`;
}

test("every page and every GET of the built app, as every role and without a session, as the table says", async ({
  browser,
  demoServer: demo,
}) => {
  test.setTimeout(600_000);
  const office = await browser.newContext();
  await demo.signIn(office);
  const queue = (await (await office.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  const visit = queue.visits[0];
  const params: Record<string, string> = {
    siteId: visit?.site_id ?? "",
    visitId: visit?.visit_id ?? "",
    stationId: "ALD01",
  };
  const routes = appRoutes().filter(({ method, address }) => method !== "POST" && !address.includes("[...all]"));
  let cells = 0;
  for (const role of [...ROLES, null]) {
    const context = await browser.newContext();
    if (role) await demo.signIn(context, role);
    const found: string[] = [];
    const table: string[] = [];
    for (const { key, address } of routes) {
      const { rule, query } = rowOf(key);
      const filled = address.replace(/\[(\w+)\]/g, (_, name: string) => encodeURIComponent(params[name] ?? "none"));
      found.push(`${key} ${await outcome(context, `${demo.url}${filled}${query ? `?${query}` : ""}`)}`);
      const due =
        rule === "open"
          ? "reached"
          : !role
            ? "unauthorized"
            : AGREED[rule].includes(LETTER[role])
              ? "reached"
              : "forbidden";
      table.push(`${key} ${due}`);
      cells++;
    }
    expect(found, role ?? "without a session").toEqual(table);
    await context.close();
  }
  console.log(`built app: ${cells} cells`);
  expect(cells).toBe(routes.length * 6);
});

test("no change is taken from a page of another site, at any route, nor without a session", async ({
  browser,
  demoServer: demo,
}) => {
  const context = await browser.newContext();
  await demo.signIn(context);
  const bare = await browser.newContext();
  const routes = appRoutes().filter(({ method }) => method === "POST");
  expect(routes.length).toBeGreaterThan(20);
  for (const { key, address } of routes) {
    const { rule, body } = rowOf(key);
    const url = `${demo.url}${address.replace(/\[[^\]]+\]/g, "none")}`;
    const data = body ?? {};
    const port = `http://localhost:${Number(new URL(demo.url).port) + 1}`;
    for (const origin of ["https://elsewhere.example", port, "null"])
      expect((await context.request.post(url, { data, headers: { origin } })).status(), `${key} ${origin}`).toBe(403);
    expect((await context.request.post(url, { data })).status(), `${key} without an origin`).toBe(403);
    if (rule !== "open")
      expect((await bare.request.post(url, { data, headers: { origin: demo.url } })).status(), `${key} nobody`).toBe(
        401,
      );
  }
});

test("the demo offers its people, each sees their part, and signing out closes the way back", async ({
  page,
  demoServer: demo,
}) => {
  await open(page, `${demo.url}/visits`);
  await expect(page).toHaveURL(/\/sign-in\?to=%2Fvisits/);
  expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);
  await page.getByRole("button", { name: "Demo owner" }).click();
  await expect(page.getByRole("heading", { name: "Visits", exact: true })).toBeVisible();
  await expect(page.getByText("invented person", { exact: true })).toBeVisible();
  await expect(page.getByRole("navigation", { name: "Main" }).getByRole("link")).toHaveText([
    "Books",
    "Sites",
    "Visits",
    "Coverage",
    "Glossary",
  ]);
  await page.goto(`${demo.url}/sites`);
  await expect(page.locator("tr[data-row]").first()).toBeVisible();
  const books = await page.locator("tr[data-row] td.site .soft").allTextContents();
  expect(new Set(books.map((text) => text.split("·")[1]?.trim())).size).toBe(1);
  await open(page, `${demo.url}/parameters`);
  await expect(page.getByRole("heading", { name: "Your role does not open this page" })).toBeVisible();
  await page.getByRole("button", { name: "Sign out" }).click();
  await expect(page.getByRole("heading", { name: "Sign in to Raintrip" })).toBeVisible();
  await page.goto(`${demo.url}/sites`);
  await expect(page).toHaveURL(/\/sign-in/);
});

test("an invited person joins by the link, signs in by password and by passkey, and is shut out again", async ({
  page,
  browser,
  demo,
}) => {
  test.setTimeout(180_000);
  await open(page, `${demo.url}/access/people`);
  await page.getByText("Invite somebody").click();
  await page.getByLabel("Name").first().fill("Pat Example");
  await page.getByLabel("Role").first().selectOption("dispatcher");
  await page.getByRole("button", { name: "Make the link" }).click();
  const link = await page.getByLabel("Link").inputValue();
  expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);

  const context = await browser.newContext();
  const theirs = await context.newPage();
  const cdp = await context.newCDPSession(theirs);
  await cdp.send("WebAuthn.enable");
  await cdp.send("WebAuthn.addVirtualAuthenticator", {
    options: {
      ...{ protocol: "ctap2", transport: "internal", hasResidentKey: true, hasUserVerification: true },
      ...{ isUserVerified: true, automaticPresenceSimulation: true },
    },
  });
  await theirs.goto(link);
  await theirs.getByLabel("E-mail address").fill("pat@example.test");
  await theirs.getByLabel("Password, 12").fill(PASSWORD);
  await theirs.getByLabel("The same password").fill(PASSWORD);
  await theirs.getByRole("button", { name: "Join and sign in" }).click();
  await expect(theirs.getByRole("heading", { name: "Ranked sites" })).toBeVisible();
  await open(theirs, `${demo.url}/you`);
  await theirs.getByLabel("Name of this device").fill("phone");
  await theirs.getByRole("button", { name: "Add a passkey" }).click();
  await expect(theirs.getByRole("button", { name: "Remove phone" })).toBeVisible();
  expect((await new AxeBuilder({ page: theirs }).analyze()).violations).toEqual([]);

  for (const by of ["password", "passkey"]) {
    await theirs.getByRole("button", { name: "Sign out" }).click();
    await theirs.getByText("People who are not of the demo").click();
    if (by === "passkey") await theirs.getByRole("button", { name: "With a passkey" }).click();
    else {
      await theirs.getByLabel("E-mail address").fill("pat@example.test");
      await theirs.getByLabel("Password").fill(PASSWORD);
      await theirs.getByRole("button", { name: "Sign in", exact: true }).click();
    }
    await expect(theirs.getByText("Pat Example"), by).toBeVisible();
  }

  await page.reload();
  const card = page.locator("[data-person]", { hasText: "Pat Example" });
  await card.getByText("Change Pat Example").click();
  await card.getByRole("button", { name: "Disable" }).click();
  await expect(page.getByText("Pat Example was shut out")).toBeVisible();
  await theirs.goto(`${demo.url}/sites`);
  await expect(theirs).toHaveURL(/\/sign-in/);
  await page.goto(`${demo.url}/access/audit?action=person.change`);
  await expect(page.getByText('"disabled":true').first()).toBeVisible();
  await expect(page.getByText("the chain is whole")).toBeVisible();
  expect((await new AxeBuilder({ page }).analyze()).violations).toEqual([]);
  await context.close();
});

test("an empty installation is set up by the printed link, and the API wants a token", async ({
  page,
  fresh: empty,
  request,
}) => {
  test.setTimeout(300_000);
  await expect
    .poll(empty.said)
    .toMatch(/Set this installation up, once, within 24 h: http:\/\/localhost:\d+\/join#join-/);
  await page.goto(empty.url);
  await expect(page.getByText("Nobody can sign in yet.")).toBeVisible();
  expect((await request.get(`${empty.url}/api/v1/score`)).status()).toBe(401);
  const headers = { authorization: `Bearer ${empty.token()}` };
  expect((await request.get(`${empty.url}/api/v1/score`, { headers })).status()).toBe(200);
  const upload = await request.post(`${empty.url}/api/v1/imports?file=crews.csv`, {
    headers: { ...headers, "content-type": "text/csv" },
    data: "crew_id,name,base_latitude,base_longitude,shift_start,shift_end,time_zone\nC1,One,40,-90,07:00,15:00,America/Chicago\n",
  });
  expect(upload.status()).toBe(202);
  await empty.signIn(page.context());
  await page.goto(empty.url);
  await expect(page.getByText("First Administrator")).toBeVisible();
});
