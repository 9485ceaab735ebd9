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
  // Arriving writes two edits, one after the other: nothing waits for a moment before the second is there.
  const arrived = page.waitForResponse(
    (reply) => reply.url().includes("/api/visits/sync") && !!reply.request().postData()?.includes('"leave_by"'),
  );
  await page.getByRole("button", { name: "Arrived" }).click();
  await arrived;
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
  const synced = await again.request.post(`${demo.url}/api/visits/sync`, {
    data: { visitId, siteId, edits: [] },
    headers: { origin: demo.url },
  });
  const { edits, conflicts } = (await synced.json()) as { edits: { field: string }[]; conflicts: unknown[] };
  expect(edits.map((edit) => edit.field).sort()).toEqual(["leave_by", "outcome", "signed", "state"]);
  expect(conflicts).toEqual([]);
  await again.goto(`${demo.url}/sites/${encodeURIComponent(siteId)}`);
  await expect(again.getByText("A. Tester")).toHaveCount(1);
});

test("a stop typed without signal fills the screen with STOP, and goes on standing after a restart", async ({
  page,
  context,
  demo,
}) => {
  test.setTimeout(120_000);
  const address = await open(page, demo.url, 1);
  await context.setOffline(true);
  const check = page.locator("[data-work=section_potential]").first();
  await check.getByLabel("Kind").selectOption("dc");
  const value = check.getByLabel("Value, volt");
  await value.fill("29");
  await expect(page.getByRole("alertdialog")).toHaveCount(0);
  await expect(check.locator(".verdict")).toHaveCount(0);
  await value.press("Enter");
  await expect(check.locator(".verdict")).toHaveAttribute("data-verdict", "watch");
  await value.fill("");
  await value.pressSequentially("312");
  const stop = page.getByRole("alertdialog", { name: "Stop" });
  await expect(stop).toContainText("312 V DC");
  await expect(stop).toContainText("Keep everyone away");
  // Written once, whatever the number of digits.
  await expect(page.getByText("1 edit waits to be sent.")).toBeVisible();
  await page.close();
  const again = await context.newPage();
  await again.goto(address);
  await expect(again.getByRole("alertdialog", { name: "Stop" })).toBeVisible();
  await context.setOffline(false);
  await expect(work(again)).toHaveAttribute("data-waiting", "0", { timeout: 30_000 });
});

const READING = { unit: "volt", quantity: "dc", method: null, licence: "L-2", qualified: true };

test("a read stop is lowered only by a qualified person at its points, closes the work till then, and a new one fills the screen again", async ({
  page,
  demo,
}) => {
  test.setTimeout(120_000);
  await open(page, demo.url, 2);
  const above = page.locator("section[aria-label=Cautions], .visit-work");
  await expect(above.first()).toContainText("Before anything is touched");
  await expect(above.nth(1)).toHaveClass(/visit-work/);
  const check = page.locator("[data-work=section_potential]").first();
  await expect(check.getByText("Caution:")).toBeVisible();
  await page.getByLabel("Your name").fill("A. Tester");
  await page.getByLabel("Your licence").fill("L-1");
  await check.getByLabel("Kind").selectOption("dc");
  await check.getByLabel("Read from").selectOption("ground_bus");
  await check.getByLabel("Read to").selectOption("electrode");
  const value = check.getByLabel("Value, volt");
  const stop = page.getByRole("alertdialog", { name: "Stop" });
  await value.fill("31");
  await stop.getByRole("button").click();
  await expect(stop).toHaveCount(0);
  await expect(page.getByText("STOP stands: 31 V from ground bus to electrode")).toBeVisible();
  await expect(check.getByRole("button", { name: "pass" })).toBeDisabled();
  await expect(check.getByRole("button", { name: "fail" })).toBeDisabled();
  await expect(page.getByRole("button", { name: "Sign off" })).toBeDisabled();
  await expect(page.getByText("nothing is signed off until it is lowered")).toBeVisible();

  await check.getByLabel("Meter impedance").selectOption("low");
  const keep = async () => {
    await value.fill("2");
    await check.getByRole("button", { name: "Keep the reading" }).click();
    await expect(value).toHaveValue("");
  };
  await keep();
  await expect(page.getByText(/STOP stands/)).toBeVisible();
  await page.getByLabel("I am a qualified person").check();
  await keep();
  await expect(page.getByText(/STOP stands/)).toHaveCount(0);
  await expect(check.getByRole("button", { name: "pass" })).toBeEnabled();
  await value.fill("31");
  await expect(stop).toBeVisible();
});

test("STOP needs no store, and reaches the server from a phone that keeps nothing", async ({ page, demo }) => {
  test.setTimeout(120_000);
  await page.addInitScript(() => {
    IDBFactory.prototype.open = () => {
      throw new DOMException("storage is refused", "SecurityError");
    };
  });
  const address = await open(page, demo.url, 3);
  const check = page.locator("[data-work=section_potential]").first();
  await check.getByLabel("Kind").selectOption("ac_rms");
  await check.getByLabel("Value, volt").fill("16");
  await expect(page.getByRole("alertdialog", { name: "Stop" })).toContainText("16 V AC");
  const visitId = decodeURIComponent(address.split("/").at(-1) ?? "");
  const siteId = visitId.replace(/^visit-\d+-/, "");
  await expect
    .poll(async () => {
      const data = { visitId, siteId, edits: [] };
      const reply = await page.request.post(`${demo.url}/api/visits/sync`, { data, headers: { origin: demo.url } });
      return ((await reply.json()) as { stopStands: boolean }).stopStands;
    })
    .toBe(true);
});

test("AC and DC are kept beside one another; another's differing reading and a row that was not taken are shown", async ({
  page,
  demo,
}) => {
  test.setTimeout(120_000);
  const address = await open(page, demo.url, 4);
  const check = page.locator("[data-work=section_potential]").first();
  await page.getByLabel("Your name").fill("A. Tester");
  // A licence longer than the records take.
  await page.getByLabel("Your licence").fill("L".repeat(201));
  await page.getByLabel("I am a qualified person").check();
  await check.getByLabel("Read from").selectOption("ground_bus");
  await check.getByLabel("Read to").selectOption("electrode");
  for (const [kind, text] of [
    ["ac_rms", "0.4"],
    ["dc", "0.6"],
  ] as const) {
    await check.getByLabel("Kind").selectOption(kind);
    await check.getByLabel("Value, volt").fill(text);
    await check.getByRole("button", { name: "Keep the reading" }).click();
  }
  await expect(check.getByText("Kept: 0.4 volt AC, ground bus to electrode, read by A. Tester.")).toBeVisible();
  await expect(check.getByText("Kept: 0.6 volt DC, ground bus to electrode, read by A. Tester.")).toBeVisible();
  await page.getByRole("button", { name: "Sign off" }).click();
  await expect(page.getByRole("region", { name: "Not taken into the records" })).toContainText("inspector licence");

  const visitId = decodeURIComponent(address.split("/").at(-1) ?? "");
  const siteId = visitId.replace(/^visit-\d+-/, "");
  const ask = async (edits: object[]) =>
    (
      await page.request.post(`${demo.url}/api/visits/sync`, {
        data: { visitId, siteId, edits },
        headers: { origin: demo.url },
      })
    ).json();
  const { edits } = (await ask([])) as { edits: { field: string; item: string; value: string }[] };
  const mine = edits.find((edit) => edit.value.includes("0.6"));
  const points = { pointA: "electrode", pointB: "ground_bus", meter: "high", text: "0.9" };
  const other = { edit_id: crypto.randomUUID(), visit_id: visitId, by: "B. Tester", device: "phone-b", seq: 1 };
  const value = JSON.stringify({ ...READING, ...points });
  await ask([{ ...other, item: mine?.item, field: "reading", value, at: 1_800_000_000_000 }]);
  // Signed, the visit is no longer in the queue; its page stays on this phone.
  await page.reload();
  await expect(check.getByText("read by B. Tester")).toBeVisible();
  await expect(check.getByText("Two readings of the same")).toBeVisible();
});
