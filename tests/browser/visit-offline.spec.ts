import type { Page } from "@playwright/test";
import { expect, test } from "./installation.ts";

/** A picture of one pixel, PNG. */
const PIXEL = Buffer.from(
  "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg==",
  "base64",
);
const work = (page: Page) => page.locator(".visit-work");

async function open(page: Page, url: string, place: number): Promise<string> {
  const queue = (await (await page.request.get(`${url}/api/v1/queue`)).json()) as {
    visits: { visit_id: string; checklist: { check: string }[] }[];
  };
  const visits = queue.visits.filter((v) => v.checklist.some((item) => item.check === "section_potential"));
  const address = `${url}/visits/${encodeURIComponent(visits[place]?.visit_id ?? "none")}`;
  await page.goto(address);
  await expect(work(page)).toHaveAttribute("data-offline", "true", { timeout: 30_000 });
  return address;
}

test("a visit filled without signal, over a restart of the page, lands once", async ({ page, context, demo }) => {
  test.setTimeout(180_000);
  const address = await open(page, demo.url, 0);
  await page.getByLabel("Your name").fill("A. Tester");
  await page.getByLabel("Your licence").fill("L-1");
  await page.getByRole("button", { name: "Arrived" }).click();
  await expect(work(page)).toHaveAttribute("data-waiting", "0");

  await context.setOffline(true);
  const first = page.locator(".work-item").first();
  await first.getByRole("button", { name: "unable" }).click();
  await first.locator("input[type=file]").setInputFiles([
    { name: "a.png", mimeType: "image/png", buffer: PIXEL },
    { name: "b.png", mimeType: "image/png", buffer: PIXEL },
  ]);
  await expect(first).toContainText("2 photos kept");
  await expect(page.getByText("3 edits wait to be sent.")).toBeVisible();

  await page.close();
  const again = await context.newPage();
  await again.goto(address);
  await expect(again.getByText("3 edits wait to be sent.")).toBeVisible();
  const firstAgain = again.locator(".work-item").first();
  await expect(firstAgain.getByRole("button", { name: "unable" })).toHaveAttribute("aria-pressed", "true");
  await again.getByRole("button", { name: "Sign off" }).click();
  await expect(again.getByText("4 edits wait to be sent.")).toBeVisible();

  const sent: string[] = [];
  again.on("response", (reply) => {
    if (reply.url().includes("/api/visits/photos")) sent.push(String(reply.status()));
  });
  await context.setOffline(false);
  await expect(work(again)).toHaveAttribute("data-waiting", "0", { timeout: 30_000 });
  expect(sent).toEqual(["200", "200"]);

  const visitId = decodeURIComponent(address.split("/").at(-1) ?? "");
  const siteId = visitId.replace(/^visit-\d+-/, "");
  const synced = await again.request.post(`${demo.url}/api/visits/sync`, { data: { visitId, siteId, edits: [] } });
  const { edits, conflicts } = (await synced.json()) as { edits: { field: string }[]; conflicts: unknown[] };
  expect(edits.map((edit) => edit.field).sort()).toEqual(["outcome", "signed", "state"]);
  expect(conflicts).toEqual([]);
  await again.goto(`${demo.url}/sites/${encodeURIComponent(siteId)}`);
  await expect(again.getByText("A. Tester")).toHaveCount(1);
});

test("31 V DC typed without signal fills the screen with STOP, and goes on standing after a restart", async ({
  page,
  context,
  demo,
}) => {
  test.setTimeout(120_000);
  const address = await open(page, demo.url, 1);
  await context.setOffline(true);
  const check = page.locator("[data-work=section_potential]").first();
  await check.getByLabel("Kind").selectOption("dc");
  await check.getByLabel("Value, volt").fill("29");
  await expect(page.getByRole("alertdialog")).toHaveCount(0);
  await check.getByLabel("Value, volt").fill("31");
  const stop = page.getByRole("alertdialog", { name: "Stop" });
  await expect(stop).toContainText("31 V DC");
  await expect(stop).toContainText("Keep everyone away");
  await page.close();
  const again = await context.newPage();
  await again.goto(address);
  await expect(again.getByRole("alertdialog", { name: "Stop" })).toBeVisible();
  await context.setOffline(false);
  await expect(work(again)).toHaveAttribute("data-waiting", "0", { timeout: 30_000 });
});
