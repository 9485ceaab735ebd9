import AxeBuilder from "@axe-core/playwright";
import type { Page } from "@playwright/test";
import ICAL from "ical.js";
import type { PlanDocument } from "../../lib/reads/documents.ts";
import type { PlanBoardView } from "../../lib/reads/plan-board-view.ts";
import { expect, test } from "./installation.ts";
import { open } from "./open.ts";
import { severe } from "./severe.ts";

async function noSeriousFault(page: Page): Promise<void> {
  expect(severe(await new AxeBuilder({ page }).analyze(), page.url())).toEqual([]);
}

/** The Monday after next, so that the demo's crews work whenever this runs. */
function someMonday(): string {
  const day = new Date(Date.now() + 7 * 86_400_000);
  while (day.getUTCDay() !== 1) day.setUTCDate(day.getUTCDate() + 1);
  return day.toISOString().slice(0, 10);
}

test("the dispatcher's journey: from the queue to a confirmed plan, a stop moved by keyboard and pinned; phone and calendar show the day", async ({
  page,
  demo,
}) => {
  test.setTimeout(300_000);
  const from = someMonday();
  await open(page, `${demo.url}/visits`);
  await page.getByRole("link", { name: "Plan", exact: true }).click();
  await page.getByLabel("First day").fill(from);
  await page.getByLabel("Days").fill("12");
  await page.getByRole("button", { name: "Make a plan" }).click();
  await expect(page.getByText(/visits avoid/)).toBeVisible({ timeout: 120_000 });
  // The best so far is told before the plan is kept, under the address of the run.
  await page.waitForURL(/\/plan\/[^/]+$/);
  await noSeriousFault(page);
  const planId = new URL(page.url()).pathname.split("/").at(-1) ?? "";
  const board = async () =>
    (await (await page.request.get(`${demo.url}/api/pages/plans/${planId}`)).json()) as PlanBoardView;
  const view = await board();
  const stops = view.crewDays.flatMap((d) => d.stops.map((stop) => ({ ...stop, crewId: d.crewId, day: d.day })));
  expect(stops.length).toBeGreaterThan(3);
  await expect(page.locator(".stop.on-strip")).toHaveCount(stops.length);
  await expect(page.getByRole("heading", { name: `Not visited (${view.unserved.length})` })).toBeVisible();
  // The demo has no forecast, and roof work is then left to people's eyes.
  await expect(page.getByText("Look at the sky before anyone climbs", { exact: false })).toBeVisible();

  // Dragged, it is told on the strips what dropping it there would change; let go of, nothing has.
  const carried = await page.evaluateHandle(() => new DataTransfer());
  await page.locator(".stop.on-strip").first().dispatchEvent("dragstart", { dataTransfer: carried });
  await expect(page.locator(".drop-says").first()).toContainText(/km|Not possible/, { timeout: 60_000 });
  await page.locator(".stop.on-strip").first().dispatchEvent("dragend", { dataTransfer: carried });
  await expect(page.locator(".drop-says")).toHaveCount(0);
  expect((await board()).revision).toBe(1);

  // From stop to stop by arrow keys, until one has a place that it can go to.
  const moved = await (async () => {
    for (const stop of stops) {
      await page.locator(`.on-strip[data-stop="${stop.visitId}"]`).focus();
      await page.keyboard.press("Enter");
      const panel = page.getByRole("region", { name: `Move ${stop.siteName}` });
      await expect(panel.locator(".option").first()).toBeVisible({ timeout: 60_000 });
      const possible = panel.locator(".option:has(input:not([disabled]))").filter({ hasNotText: "Out of the plan" });
      const free = possible.filter({ hasNotText: "Make-safe later" });
      if ((await free.count()) > 0 || (stop === stops.at(-1) && (await possible.count()) > 0)) {
        const option = (await free.count()) > 0 ? free.first() : possible.first();
        expect(await option.textContent()).toMatch(/km/);
        await option.locator("input").focus();
        await page.keyboard.press("Space");
        if (await panel.getByLabel("Why", { exact: false }).isVisible())
          await panel.getByLabel("Why", { exact: false }).fill("the customer asked");
        await panel.getByRole("button", { name: "Move it" }).focus();
        await page.keyboard.press("Enter");
        return stop;
      }
      await page.keyboard.press("Escape");
      await expect(page.locator(`.on-strip[data-stop="${stop.visitId}"]`)).toBeFocused();
    }
    throw new Error("no stop of the demo can be moved");
  })();
  await expect(
    page.getByText(`${moved.visitId} from ${moved.crewId} on ${moved.day} to`, { exact: false }),
  ).toBeVisible();
  await page.getByRole("button", { name: "Pin to this crew and day" }).click();
  await expect(page.getByRole("button", { name: "Take the pin off" })).toBeVisible();
  await page.getByRole("button", { name: "Confirm and send out" }).click();
  await expect(page.getByText("Confirmed by", { exact: false })).toBeVisible({ timeout: 30_000 });

  const after = await board();
  const day = after.crewDays.find((d) => d.stops.some((stop) => stop.visitId === moved.visitId));
  if (!day) throw new Error("the moved stop is on no route");
  await page.setViewportSize({ width: 390, height: 844 });
  await open(page, `${demo.url}/visits/today?crew=${day.crewId}&day=${day.day}`);
  await expect(page.locator(".stops li")).toHaveCount(day.stops.length);
  for (const stop of day.stops)
    await expect(page.getByText(`${stop.start} to ${stop.depart}`, { exact: false }).first()).toBeVisible();
  await noSeriousFault(page);
  await open(page, `${demo.url}/plan/${planId}`);
  await expect(page.locator(".stop.in-list").first()).toBeVisible();
  await expect(page.locator(".crew-strip").first()).toBeHidden();
  await noSeriousFault(page);

  await page.setViewportSize({ width: 1440, height: 900 });
  await open(page, `${demo.url}/plan/going-out`);
  await noSeriousFault(page);
  await page.getByRole("combobox", { name: "Crew" }).selectOption(day.crewId);
  await page.getByRole("button", { name: "Make a calendar link" }).click();
  const link = await page.locator(".calendar-link").textContent();
  const reply = await page.request.get(link ?? "");
  expect(reply.headers()["content-type"]).toContain("text/calendar");
  const calendar = new ICAL.Component(ICAL.parse(await reply.text()));
  const uids = calendar.getAllSubcomponents("vevent").map((event) => event.getFirstPropertyValue("uid"));
  for (const stop of day.stops) expect(uids).toContain(`${stop.visitId}@raintrip`);
  await open(page, `${demo.url}/plan/earned`);
  await expect(page.getByText("No visit of a confirmed plan lies in the past yet", { exact: false })).toBeVisible();
  await noSeriousFault(page);
});

test("the API plans the same days and says what is wrong with a question", async ({ page, demo }) => {
  const reply = await page.request.get(`${demo.url}/api/v1/plan?from=${someMonday()}&days=2`, { timeout: 120_000 });
  const plan = (await reply.json()) as PlanDocument;
  expect(plan.routes.flatMap((route) => route.stops).length).toBeGreaterThan(3);
  const wrong = await page.request.get(`${demo.url}/api/v1/plan?from=2026-11-30&days=99`);
  expect(wrong.status()).toBe(400);
  expect(await wrong.text()).toContain("days");
});
