import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import AxeBuilder from "@axe-core/playwright";
import type { ScoreDocument } from "../../lib/reads/documents.ts";
import { demoDrop } from "../../seed/drop.ts";
import { DEMO, makeWorld } from "../../seed/world.ts";
import { expect, test } from "./installation.ts";
import { open } from "./open.ts";

/** A small fleet as files: 16 sites, a year. */
function smallDrop(): { folder: string; files: string[] } {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-upload-"));
  mkdirSync(folder, { recursive: true });
  const files = demoDrop(makeWorld({ ...DEMO, seed: "upload", sites: 16, days: 365 })).map(({ file, header, rows }) => {
    const lines = [
      header.join(","),
      ...[...rows()].map((cells) => cells.map((c) => (/[",]/.test(c) ? `"${c}"` : c)).join(",")),
    ];
    writeFileSync(path.join(folder, file), `${lines.join("\n")}\n`);
    return path.join(folder, file);
  });
  return { folder, files };
}

test("from nothing: upload a drop, see progress, read the ranking, open a site, print a checklist", async ({
  page,
  empty,
}) => {
  await page.goto(empty.url);
  await expect(page.getByRole("heading", { name: "No sites yet" })).toBeVisible();
  await page.getByRole("link", { name: "Import files" }).click();
  await expect(page.getByText("Nothing has been imported yet.")).toBeVisible();

  const drop = smallDrop();
  await page.getByLabel("Files").setInputFiles(drop.files);
  await page.waitForURL(/\/imports\/.+/);
  await expect(page.getByText(/^(waiting|running \d+ %|done)/).first()).toBeVisible();
  await expect(page.getByText(/accepted, .* unchanged, .* set aside\./)).toBeVisible({ timeout: 90_000 });
  await expect(page.getByRole("row", { name: /weather\.csv done/ })).toBeVisible();

  await page.getByRole("link", { name: "To the ranked sites" }).click();
  await expect(page.getByRole("heading", { name: "Ranked sites" })).toBeVisible();
  await expect(page.locator("tr[data-row]")).toHaveCount(16, { timeout: 60_000 });
  await expect(page.getByText(/wait for a new score/)).toHaveCount(0, { timeout: 60_000 });

  // A new record of the last site is seen on the open page: somebody was shocked there, so it goes before all others.
  const last = (await page.locator("tr[data-row]").last().getAttribute("data-row")) as string;
  const record = `site_id,inspected_at,check,outcome,note\n${last},2026-10-20,egc_size,fail,Technician was shocked at the rail\n`;
  const sent = await page.request.post(`${empty.url}/api/v1/imports`, {
    headers: { origin: empty.url },
    multipart: { files: { name: "inspections.csv", mimeType: "text/csv", buffer: Buffer.from(record) } },
  });
  expect(sent.ok()).toBe(true);
  await expect(page.locator(`tr[data-row="${last}"] .urgency.make_safe`)).toBeVisible({ timeout: 30_000 });
  await expect(page.getByText(/waits? for a new score/)).toHaveCount(0, { timeout: 60_000 });

  // The page, the command line and the HTTP API give one number.
  const cli = JSON.parse(empty.raintrip(["score", "--json"]).out) as ScoreDocument;
  const api = (await (await page.request.get(`${empty.url}/api/v1/score`)).json()) as ScoreDocument;
  expect(api).toEqual(cli);
  await page.reload();
  const first = page.locator("tr[data-row]").first();
  const siteId = (await first.getAttribute("data-row")) as string;
  const scored = cli.sites.find((s) => s.site_id === siteId);
  const shown = scored?.bonding_defect.p ?? 0;
  await expect(first).toContainText(shown >= 0.995 ? ">0.99" : shown < 0.005 ? "<0.01" : shown.toFixed(2));

  await first.getByRole("link").first().click();
  await expect(page.locator("[data-chart=evidence][data-painted]")).toBeVisible();
  await expect(page.locator("[data-chart=timeline][data-painted]")).toBeVisible();
  await expect(page.locator("[data-chart-frame=evidence] tbody tr")).toHaveCount(scored?.evidence.length ?? -1);

  await page.goto(`${empty.url}/visits`);
  const visits = page.locator("table.ranked tbody tr");
  await expect(visits.first()).toBeVisible();
  await visits.first().getByRole("link").first().click();
  await expect(page.getByRole("heading", { name: /Grounding checklist/ })).toBeVisible();
  await expect(page.getByText("Treat all metal as live.").first()).toBeVisible();
  const pdf = await page.pdf({ format: "A4" });
  expect(pdf.subarray(0, 5).toString()).toBe("%PDF-");
  expect(pdf.length).toBeGreaterThan(10_000);
  rmSync(drop.folder, { recursive: true });
});

test("rows that cannot be used are shown with line, column and reason, and come back as a file", async ({
  page,
  empty,
}) => {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-bad-"));
  const file = path.join(folder, "sites.csv");
  writeFileSync(
    file,
    "site_id,name,portfolio,latitude,longitude,time_zone,dc_kw,ac_kw\nX1,Good,Bad book,40,-74,America/New_York,5,4\nX2,Bad,Bad book,95,-74,America/New_York,5,4\n",
  );
  await open(page, `${empty.url}/imports`);
  await page.getByLabel("Files").setInputFiles([file]);
  await page.waitForURL(/\/imports\/.+/);
  const row = page.getByRole("row", { name: /sites\.csv 3 latitude 95 above 90/ });
  await expect(row).toBeVisible({ timeout: 60_000 });
  const download = page.waitForEvent("download");
  await page.getByRole("link", { name: "Download the rows set aside" }).click();
  const saved = await (await download).path();
  expect(readFileSync(saved, "utf8")).toContain("sites.csv,3,latitude,95,above 90");
  rmSync(folder, { recursive: true });
});

test("a stranger's table: what names and values leave open is asked, the rest is filled in, and a row is corrected in place", async ({
  page,
  empty,
}) => {
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-stranger-"));
  const plants = path.join(folder, "plant list.csv");
  writeFileSync(
    plants,
    "Plant ID;Plant Name;Client;Lat;Lng;DC size (W);AC size (kW)\nQ1;Mill;Stranger's book;40,7;-74,1;12500;10,5\nQ2;Barn;Stranger's book;140,7;-74,2;9000;8,5\n",
  );
  await open(page, `${empty.url}/imports`);
  await page.getByLabel("Files").setInputFiles([plants]);
  await page.waitForURL(/\/imports\/.+/);
  await expect(page.getByText("time_zone is needed")).toBeVisible();
  await expect(page.getByLabel("Numbers have a")).toHaveValue("comma");
  await expect(page.getByLabel("Unit of DC size (W)")).toHaveValue("w");
  await expect(page.getByRole("button", { name: "Import", exact: true })).toBeDisabled();
  await page.getByLabel("time zone", { exact: true }).fill("America/New_York");
  await page.getByLabel("time zone", { exact: true }).press("Enter");
  await expect(page.getByText("Of 2 rows 1 can be used and 1 would be set aside.")).toBeVisible();
  const scan = await new AxeBuilder({ page }).analyze();
  expect(scan.violations.filter((v) => ["serious", "critical"].includes(v.impact ?? "")).map((v) => v.id)).toEqual([]);
  await page.getByRole("button", { name: "Import", exact: true }).click();
  await expect(page.getByText(/1 accepted, .* 1 set aside\./)).toBeVisible({ timeout: 30_000 });
  await page.getByRole("button", { name: "Correct", exact: true }).click();
  await page.getByLabel("latitude (the reason)").fill("40.8");
  await page.getByRole("button", { name: "Send 1 corrected row in" }).click();
  await page.getByRole("link", { name: "Sent in: see what came of it" }).click();
  await expect(page.getByText(/1 accepted, .* 0 set aside\./)).toBeVisible({ timeout: 30_000 });
  rmSync(folder, { recursive: true });
});

test("a page of another site cannot reach this server, and the API says what is wrong with a request", async ({
  request,
  empty,
}) => {
  const headers = { authorization: `Bearer ${empty.token()}` };
  const foreign = await request.get(`${empty.url}/api/v1/score`, {
    headers: { ...headers, origin: "https://elsewhere.example" },
  });
  expect(foreign.status()).toBe(403);
  const wrong = await request.get(`${empty.url}/api/v1/score?as-of=tomorrow`, { headers });
  expect(wrong.status()).toBe(400);
  expect(await wrong.json()).toMatchObject({ error: { code: "wrong_use", message: expect.stringContaining("as-of") } });
  const get = async (address: string) => (await request.get(`${empty.url}${address}`, { headers })).status();
  expect(await get("/api/v1/weather/NOPE?from=2026-01-01&to=2026-01-02")).toBe(404);
  expect(await get("/api/v1/imports/nope")).toBe(404);
  expect((await request.post(`${empty.url}/api/v1/imports`, { multipart: {}, headers })).status()).toBe(400);
  const without = await request.get(`${empty.url}/api/v1/score`);
  expect(without.status()).toBe(401);
  expect(await without.json()).toMatchObject({
    error: { code: "unauthorized", message: expect.stringContaining("raintrip -- token") },
  });
  const api = await (await request.get(`${empty.url}/api/v1/openapi.json`)).json();
  expect(api).toMatchObject({ openapi: "3.1.0" });
  expect(Object.keys(api.paths)).toEqual([
    "/api/v1/score",
    "/api/v1/queue",
    "/api/v1/plan",
    "/api/v1/plan-runs/{runId}",
    "/api/v1/exposure",
    "/api/v1/weather/{stationId}",
    "/api/v1/visits/{visitId}/checklist.pdf",
    "/api/v1/visits/{visitId}/report.pdf",
    "/api/v1/imports",
    "/api/v1/imports/{importId}",
    "/api/v1/imports/{importId}/set-aside",
  ]);
});
