import AxeBuilder from "@axe-core/playwright";
import { expect, test } from "./installation.ts";
import { open } from "./open.ts";
import { severe } from "./severe.ts";

/** Planted in the demo: the log of this site runs five hours ahead. */
const SITE = "S058";

test("a wrong clock: the proposal with its picture, the decision of a person, and the way back", async ({
  page,
  demo,
}) => {
  await open(page, `${demo.url}/sites/${SITE}`);
  const panel = page.locator("[data-clock]");
  await expect(panel).toHaveAttribute("data-clock", "proposal");
  await expect(panel).toContainText("5 h ahead all year");
  await expect(panel.locator("[data-chart=clock][data-painted]")).toBeVisible();
  const accept = panel.getByRole("button", { name: /^Accept/ });
  await expect(accept).toBeDisabled();
  await panel.getByLabel("Reason, for the record").fill("the gateway was never set to local time");
  const found = await new AxeBuilder({ page }).include("[data-weather-picture]").analyze();
  expect(severe(found, "the weather picture")).toEqual([]);
  await accept.click();
  await expect(panel).toContainText("Times are already corrected for a clock 5 h ahead");

  // The worker scores the site anew, and its notes say what was done.
  await expect(async () => {
    await page.reload();
    await expect(
      page.getByText(/corrected for a clock 5 h ahead, accepted by demo-administrator/).first(),
    ).toBeVisible();
    await expect(panel).toHaveAttribute("data-clock", "quiet");
  }).toPass({ timeout: 60_000 });
  await panel.getByLabel("Reason, for the record").fill("only a try");
  await panel.getByRole("button", { name: "Withdraw the correction" }).click();
  await expect(panel).not.toContainText("already corrected");
});

test("the pictures of a site that follows the rain, each with its table", async ({ page, demo }) => {
  await page.goto(`${demo.url}/sites?search=S063`);
  await page.getByRole("link", { name: "Pineside homes", exact: true }).click();
  const part = page.locator("[data-weather-picture=ready]");
  for (const chart of ["lag", "dose"]) await expect(part.locator(`[data-chart=${chart}][data-painted]`)).toBeVisible();
  await part.getByRole("region", { name: "Onsets by depth of water" }).getByText("The same as a table").click();
  await expect(part.getByRole("columnheader", { name: "Per 1000 h" })).toBeVisible();
  await expect(part.getByRole("region", { name: "What drives them" }).getByRole("row")).toHaveCount(8);
});

test("the fleet says how many of its weather findings are expected to be false", async ({ page, demo }) => {
  await open(page, `${demo.url}/sites`);
  await page.getByText("How many weather findings are expected to be false").click();
  const part = page.locator("[data-fleet-findings=ready]");
  await expect(part).toContainText(
    /follow the wet at q ≤ 0\.05, and at most about \d+\.\d of these are expected to be false/,
  );
  await expect(part.locator("[data-chart=fleet-findings][data-painted]")).toBeVisible();
});
