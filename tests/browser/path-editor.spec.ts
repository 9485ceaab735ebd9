import AxeBuilder from "@axe-core/playwright";
import { expect, test } from "./installation.ts";
import { open } from "./open.ts";
import { severe } from "./severe.ts";

/** In the demo this site has a separate array electrode that is recorded as not bonded. */
const SITE = "S031";

test("the path is changed by hand: a bad size is refused with what was typed kept, a good change shows and is set back", async ({
  page,
  demo,
}) => {
  await open(page, `${demo.url}/sites/${SITE}`);
  const path = page.getByRole("region", { name: "Grounding path", exact: true });
  await path.getByText("Change what is recorded of the path").click();
  await path.locator("select[name=part]").selectOption({ label: "Site: electrodes, battery, electrode conductor" });
  await path.getByLabel("Electrode conductor (GEC), size").fill("5");
  await path.getByRole("button", { name: "Save" }).click();
  await expect(path.getByRole("alert")).toContainText("say why");
  await path.getByLabel("Why, and who saw it").fill("read off the conductor");
  await path.getByRole("button", { name: "Save" }).click();
  await expect(path.getByRole("alert")).toContainText('gec awg "5": not a conductor size');
  await expect(path.getByLabel("Electrode conductor (GEC), size")).toHaveValue("5");
  await path.getByLabel("Electrode conductor (GEC), size").fill("4");
  await path.locator("select[name=separate_array_electrode]").selectOption("bonded");
  await path.getByRole("button", { name: "Save" }).click();
  await expect(path.getByText("Saved with your name.")).toBeVisible();
  await expect(path).not.toContainText("The array's own electrode is not joined to the service ground.");
  const changes = path.locator("[data-table=path-changes] tbody tr");
  await expect(changes.first()).toContainText("separate array electrode: not bonded → bonded");
  await path
    .getByRole("button", { name: /^Set back change/ })
    .first()
    .click();
  await expect(path).toContainText("The array's own electrode is not joined to the service ground.");
  await expect(changes).toHaveCount(2);
  const found = await new AxeBuilder({ page }).include('section[aria-label="Grounding path"]').analyze();
  expect(severe(found, "the path editor")).toEqual([]);
});

test("on a phone a disconnect is added, drawn in the conductor that it stands in, and taken away again", async ({
  page,
  demo,
}) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await open(page, `${demo.url}/sites/${SITE}`);
  const path = page.getByRole("region", { name: "Grounding path", exact: true });
  await path.getByRole("button", { name: "Drawing and links" }).click();
  await path.getByText("Change what is recorded of the path").click();
  await path.locator("select[name=part]").selectOption({ label: "Add a piece of metal …" });
  await path.getByLabel("Short name, not used yet at this site").fill("AC1");
  await path.locator("select[name=kind]").selectOption("ac_disconnect");
  const into = path.locator("select[name=stands_in]");
  const egc = await into
    .locator("option", { hasText: /^Equipment grounding conductor, Inverter .* to Service/ })
    .first();
  await into.selectOption((await egc.getAttribute("value")) ?? "");
  await path.getByLabel("Why, and who saw it").fill("seen at the wall");
  await path.getByRole("button", { name: "Save" }).click();
  const drawing = path.getByRole("img", { name: /^Bonding path:/ });
  await expect(drawing.locator('[data-node="piece:AC1"]')).toBeVisible();
  expect(await page.evaluate(() => document.documentElement.scrollWidth)).toBeLessThanOrEqual(390);
  await path.locator("select[name=part]").selectOption({ label: "AC disconnect AC1" });
  await path.getByLabel("Why, and who saw it").fill("it was another wall");
  await path.getByRole("button", { name: "Take it away" }).click();
  await expect(drawing.locator('[data-node="piece:AC1"]')).toHaveCount(0);
});

test("the checklist of a queued visit comes as a PDF from the site's page and from the list", async ({
  page,
  demo,
}) => {
  await page.goto(`${demo.url}/visits`);
  const link = page.getByRole("link", { name: "Checklist (PDF)" }).first();
  const reply = await page.request.get(`${demo.url}${await link.getAttribute("href")}`);
  expect(reply.status()).toBe(200);
  expect(reply.headers()["content-type"]).toBe("application/pdf");
  expect((await reply.body()).subarray(0, 5).toString()).toBe("%PDF-");
  const queue = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as {
    visits: { visit_id: string }[];
  };
  const id = encodeURIComponent(queue.visits[0]?.visit_id ?? "");
  const api = await page.request.get(`${demo.url}/api/v1/visits/${id}/checklist.pdf`);
  expect((await api.body()).subarray(0, 5).toString()).toBe("%PDF-");
  expect((await page.request.get(`${demo.url}/api/v1/visits/nope/report.pdf`)).status()).toBe(404);
});
