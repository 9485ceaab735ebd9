import AxeBuilder from "@axe-core/playwright";
import type { PlanDocument } from "../../lib/reads/documents.ts";
import { expect, test } from "./installation.ts";

test("a plan is made for days to come, and page and API give the same stops", async ({ page, demo }) => {
  await page.goto(`${demo.url}/plan`, { waitUntil: "networkidle" });
  await page.getByLabel("First day").fill("2026-11-30");
  await page.getByLabel("Days").fill("2");
  await page.getByRole("button", { name: "Make a plan" }).click();
  await expect(page.getByText(/visits avoid/)).toBeVisible({ timeout: 60_000 });
  const reply = await page.request.get(`${demo.url}/api/v1/plan?from=2026-11-30&days=2`);
  const plan = (await reply.json()) as PlanDocument;
  const stops = plan.routes.flatMap((route) => route.stops);
  expect(stops.length).toBeGreaterThan(3);
  const names = page.locator("section:has(.day-strip) tbody th a");
  await expect(names).toHaveCount(stops.length);
  await expect(page.getByRole("heading", { name: `Not visited (${plan.unserved.length})` })).toBeVisible();
  // The demo has no forecast, and roof work is then left to people's eyes.
  await expect(page.getByText("Look at the sky before anyone climbs", { exact: false })).toBeVisible();
  const { violations } = await new AxeBuilder({ page }).analyze();
  expect(violations.filter((v) => v.impact === "serious" || v.impact === "critical")).toEqual([]);
  await page.goto(`${demo.url}/plan`, { waitUntil: "networkidle" });
  const wrong = await page.request.get(`${demo.url}/api/v1/plan?from=2026-11-30&days=99`);
  expect(wrong.status()).toBe(400);
  expect(await wrong.text()).toContain("days");
});
