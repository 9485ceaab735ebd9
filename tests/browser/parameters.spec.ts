import AxeBuilder from "@axe-core/playwright";
import type { QueueDocument } from "../../lib/reads/documents.ts";
import { expect, test } from "./installation.ts";
import { open, openWhole } from "./open.ts";
import { overhang } from "./screens.ts";
import { severe } from "./severe.ts";

const KEY = "prior.open_section_bond";

test("a parameter: edit, preview what would move, save, see it in the history, roll back", async ({ page, demo }) => {
  await open(page, `${demo.url}/parameters`);
  await expect(page.getByText("the program’s defaults", { exact: false }).first()).toBeVisible();
  const row = page.locator(`tr[data-key="${KEY}"]`);
  await row.getByRole("button", { name: `Edit ${KEY}` }).click();
  // A value that cannot be is refused where it is typed.
  await row.getByLabel("Value, probability").fill("1.5");
  await expect(row.getByText(/a probability must lie between 0 and 1/)).toBeVisible();
  await row.getByLabel("Value, probability").fill("0.4");
  await row.getByLabel("Value, probability").press("Enter");
  await expect(row).toContainText("changed, not saved");

  const save = page.getByRole("button", { name: "Save as a new version" });
  await page.getByLabel("Why (kept in the history)").fill("more open bonds were found than this said");
  await expect(save).toBeDisabled();
  await page.getByRole("button", { name: "Preview what would move" }).click();
  await expect(page.getByText(/120 of 120 sites compared\./)).toBeVisible({ timeout: 90_000 });
  await expect(page.locator("[data-preview] tbody tr").first()).toBeVisible();
  await save.click();
  const first = page.locator('[data-version="1"]');
  await expect(first).toContainText("in force");
  await expect(first).toContainText("more open bonds were found than this said");
  await first.getByText("1 row differs from the program’s defaults").click();
  await expect(first.getByRole("row", { name: new RegExp(`${KEY} probability 0\\.06 0\\.4`) })).toBeVisible();

  // Scores follow by themselves, and name the version they were computed with.
  const queue = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  await page.goto(`${demo.url}/sites/${queue.visits[0]?.site_id}`);
  await expect(page.getByText(/parameters \S+\+1,/)).toBeVisible();

  await open(page, `${demo.url}/parameters`);
  await page.getByRole("button", { name: "Go back to the program’s defaults" }).click();
  await page.getByRole("button", { name: "Preview what would move" }).click();
  await expect(page.getByText(/\d+ of 120 sites compared/)).toBeVisible();
  await page.getByRole("button", { name: "Stop" }).click();
  await page.getByLabel("Why (kept in the history)").fill("it was only a try");
  await save.click();
  await expect(page.locator('[data-version="2"]')).toContainText("rolled back to the program’s defaults");
  await expect(page.locator('[data-version="2"]')).toContainText("in force");
});

test("what-if: a finding moves the belief on the page and nothing is stored", async ({ page, demo }) => {
  const queue = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  const at = `${demo.url}/sites/${queue.watch[0]?.site_id}`;
  await open(page, at);
  await expect(page.locator("[data-next-tests=ready]")).toBeVisible();
  const part = page.locator("[data-what-if]");
  await part.getByLabel("Check").selectOption("egc_size");
  await part.getByLabel("Outcome").selectOption("fail");
  await part.getByRole("button", { name: "Add and see" }).click();
  await expect(part.locator("[data-what-if-result]")).toContainText("egc undersized");
  await part.getByLabel("Reading, if measured").fill("lots");
  await part.getByRole("button", { name: "Add and see" }).click();
  await expect(part.getByRole("alert")).toContainText("a number of 0 or more");
  await part.getByRole("button", { name: "Take out all" }).click();
  await expect(part.locator("[data-what-if-result]")).toHaveCount(0);
  const again = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  expect(again).toEqual(queue);
});

// On a desk the walk over every page looks at them.
test(`parameters and calibration on a phone: nothing serious for axe, nothing wider than the screen`, async ({
  page,
  demo,
}) => {
  await page.setViewportSize({ width: 390, height: 844 });
  const errors: string[] = [];
  page.on("console", (m) => m.type() === "error" && errors.push(m.text()));
  page.on("pageerror", (e) => errors.push(e.message));
  for (const at of ["/parameters", "/calibration", "/visits"]) {
    await openWhole(page, demo.url + at);
    if (at === "/parameters") await page.getByRole("button", { name: `Edit ${KEY}` }).click();
    const wide = await overhang(page);
    expect(wide, `${at} is wider than the screen by ${wide}`).toBeLessThanOrEqual(0);
    expect(severe(await new AxeBuilder({ page }).analyze(), at)).toEqual([]);
  }
  expect(errors).toEqual([]);
});
