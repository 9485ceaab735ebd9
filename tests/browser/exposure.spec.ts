import AxeBuilder from "@axe-core/playwright";
import type { ExposureDocument } from "../../lib/reads/exposure-document.ts";
import { expect, test } from "./installation.ts";
import { open, openWhole } from "./open.ts";
import { overhang } from "./screens.ts";
import { severe } from "./severe.ts";

const whole = (amount: number) => Math.round(amount).toLocaleString("en-US");

test("an owner reads the books, opens one, then a site: the API's figures at every step, and the contract governs", async ({
  page,
  demo,
}) => {
  const document = (await (await page.request.get(`${demo.url}/api/v1/exposure`)).json()) as ExposureDocument;
  expect(document.stale).toBe(false);
  await page.goto(`${demo.url}/sites`);
  await page.getByRole("navigation", { name: "Main" }).getByRole("link", { name: "Exposure" }).click();
  await expect(page.getByRole("heading", { name: "Exposure", level: 1 })).toBeVisible();
  await expect(page.getByText("no legal advice")).toBeVisible();
  for (const book of [...document.books, document.whole]) {
    const row = page.locator(`[data-book="${book?.book ?? "all"}"]`);
    await expect(row).toContainText(whole(book?.expected_net.value ?? 0));
    await expect(row).toContainText(whole(book?.expected_gross.value ?? 0));
  }
  await expect(page.locator("[data-chart=exceedance][data-painted]")).toBeVisible();
  await page.locator("[data-chart-frame=exceedance] summary").click();
  await expect(page.getByRole("cell", { name: "99 %" })).toBeVisible();

  const book = document.books[0];
  await page.getByRole("link", { name: book?.book ?? "", exact: true }).click();
  await expect(page.getByRole("heading", { name: book?.book ?? "", level: 1 })).toBeVisible();
  await expect(page.locator("[data-book-facts]")).toContainText(whole(book?.expected_net.value ?? 0));
  const own = (await (
    await page.request.get(`${demo.url}/api/v1/exposure?book=${encodeURIComponent(book?.book ?? "")}`)
  ).json()) as ExposureDocument;
  const first = own.sites[0];
  await expect(page.locator("tr[data-exposed]")).toHaveCount(own.sites.length);
  await page.locator(`tr[data-exposed="${first?.site_id}"]`).getByRole("link").click();
  await expect(page.locator("[data-site-facts]")).toContainText(whole(first?.expected_net.value ?? 0));
  await expect(page.locator("[data-loss-by-cause] tbody tr")).toHaveCount(10);
  await expect(page.getByText("no legal advice")).toBeVisible();
  // The frame of the page has been sent by the time that is known, so the page says it and not its status.
  for (const nowhere of ["sites/NOPE", "books/NOPE"]) {
    await page.goto(`${demo.url}/exposure/${nowhere}`);
    await expect(page.getByRole("heading", { name: "There is nothing here" })).toBeVisible();
  }
  expect((await page.request.get(`${demo.url}/api/v1/exposure?book=NOPE`)).status()).toBe(404);
});

test("what if: visits, an installer and cover are each answered with what they spare, cost and how sure that is", async ({
  page,
  demo,
}) => {
  await open(page, `${demo.url}/exposure`);
  const ask = page.getByRole("button", { name: "Ask" });
  await page.getByLabel("How many, from the top of the list").fill("5");
  await ask.click();
  await expect(page.locator("[data-what-if-answer=visit]")).toContainText("Visiting 5 sites", { timeout: 60_000 });
  await expect(page.locator("[data-what-if-answer=visit]")).toContainText("±");
  await page.getByLabel("Do this").selectOption("inspect");
  await ask.click();
  await expect(page.locator("[data-what-if-answer=inspect]")).toContainText("Installer A", { timeout: 60_000 });
  await page.getByLabel("Do this").selectOption("cover");
  await page.getByLabel("Limit, USD").fill("100");
  await ask.click();
  await expect(page.getByRole("alert").filter({ hasText: "limit is below the deductible" })).toBeVisible();
  await page.getByLabel("Limit, USD").fill("500000");
  await ask.click();
  await expect(page.locator("[data-what-if-answer=cover]")).toContainText("Cover for 120 sites", { timeout: 60_000 });
});

// On a desk the walk over every page looks at them.
test(`exposure on a phone: nothing serious for axe, nothing wider than the screen, no error in the console`, async ({
  page,
  demo,
}) => {
  await page.setViewportSize({ width: 390, height: 844 });
  const errors: string[] = [];
  page.on("console", (m) => m.type() === "error" && errors.push(m.text()));
  page.on("pageerror", (e) => errors.push(e.message));
  const document = (await (await page.request.get(`${demo.url}/api/v1/exposure`)).json()) as ExposureDocument;
  for (const at of [
    "/exposure",
    `/exposure/books/${encodeURIComponent(document.books[0]?.book ?? "")}`,
    `/exposure/sites/${document.sites[0]?.site_id}`,
  ]) {
    await openWhole(page, demo.url + at);
    const wide = await overhang(page);
    expect(wide, `${at} is wider than the screen by ${wide}`).toBeLessThanOrEqual(0);
    expect(severe(await new AxeBuilder({ page }).analyze(), at)).toEqual([]);
  }
  expect(errors).toEqual([]);
});
