import AxeBuilder from "@axe-core/playwright";
import { expect, test } from "./installation.ts";
import { open } from "./open.ts";
import { severe } from "./severe.ts";

/** In the demo this site has a separate array electrode that is recorded as not bonded. */
const SITE = "S031";

test("the grounding path on a phone: drawn, in words, and nothing wider than the screen", async ({ page, demo }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await open(page, `${demo.url}/sites/${SITE}`);
  const path = page.getByRole("region", { name: "Grounding path", exact: true });
  const fold = path.getByRole("button", { name: "Drawing and links" });
  await fold.click();
  await expect(fold).toHaveAttribute("aria-expanded", "true");
  const drawing = path.getByRole("img", { name: /^Bonding path:/ });
  await expect(drawing).toBeVisible();
  const rows = path.locator("[data-table=path-links] tbody tr");
  await expect(drawing.locator("[data-link]")).toHaveCount(await rows.count());
  await expect(rows.first()).toHaveAttribute("data-status", "missing");
  await expect(rows.first()).toContainText("unknown, up to");
  await expect(drawing.locator(".path-link.missing")).toHaveCount(1);
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  const found = await new AxeBuilder({ page }).include('section[aria-label="Grounding path"]').analyze();
  expect(severe(found, "the grounding path")).toEqual([]);
});

test("an electrode that is not bonded back is named, with the jumper and both of its warnings", async ({
  page,
  demo,
}) => {
  await open(page, `${demo.url}/sites/${SITE}`);
  const path = page.getByRole("region", { name: "Grounding path", exact: true });
  await expect(path).toContainText("The array's own electrode is not joined to the service ground.");
  await expect(path.getByRole("listitem").filter({ hasText: /^Separate array electrode to Service/ })).toBeVisible();
  await expect(path).toContainText(/measure AC and DC voltage across the gap/);
  await expect(path).toContainText(/does not remove the leak behind it/);
  await expect(path.locator("[data-table=path-conductors] tbody tr").first()).toContainText(/minimum/);
});
