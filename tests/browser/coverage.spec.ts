import { mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import os from "node:os";
import path from "node:path";
import AxeBuilder from "@axe-core/playwright";
import type { Page } from "@playwright/test";
import yauzl from "yauzl";
import type { QueueDocument } from "../../lib/reads/documents.ts";
import { samplePng } from "../support/sample-files.ts";
import { expect, test } from "./installation.ts";
import { open } from "./open.ts";
import { severe } from "./severe.ts";

async function noSeriousAxe(page: Page): Promise<void> {
  expect(severe(await new AxeBuilder({ page }).analyze(), page.url())).toEqual([]);
}

/** Unpack a ZIP into a folder, by another program than the one that packed it. */
function unzip(file: string, into: string): Promise<void> {
  return new Promise((resolve, reject) => {
    yauzl.open(file, { lazyEntries: true }, (error, zip) => {
      if (error || !zip) return reject(error);
      zip.on("entry", (entry) =>
        zip.openReadStream(entry, (failed, stream) => {
          if (failed || !stream) return reject(failed);
          const parts: Buffer[] = [];
          stream.on("data", (part: Buffer) => parts.push(part));
          stream.on("end", () => {
            writeFileSync(path.join(into, path.basename(entry.fileName)), Buffer.concat(parts));
            zip.readEntry();
          });
        }),
      );
      zip.on("end", resolve);
      zip.readEntry();
    });
  });
}

test("the owner's journey: from a deadline to the evidence file: contract, discovery, notice, file that verifies, shared link", async ({
  page,
  demo,
}) => {
  test.setTimeout(300_000);
  const queue = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  const siteId = queue.visits.find((v) => v.urgency !== "make_safe")?.site_id as string;
  await page.goto(`${demo.url}/coverage`);
  await expect(page.getByRole("heading", { name: "Coverage", exact: true })).toBeVisible();
  await expect(page.getByText("The contract itself governs", { exact: false })).toBeVisible();
  await noSeriousAxe(page);

  await open(page, `${demo.url}/coverage/sites/${siteId}`);
  await page.getByText("Enter a contract", { exact: true }).click();
  const contract = page.getByRole("form", { name: "New contract" });
  await contract.getByLabel("Number of your own").fill("SPEC-1");
  await contract.getByLabel("Kind").selectOption("property_insurance");
  await contract.getByLabel("Starts on").fill("2024-01-01");
  await contract.getByLabel("Ends on").fill("2023-01-01");
  await contract.getByLabel("Notice, days from discovery").fill("30");
  await contract.getByLabel("Notice to").fill("Claims desk");
  await contract.getByRole("button", { name: "Enter the contract" }).click();
  await expect(contract.getByRole("alert")).toContainText("Nothing was stored");
  // What was filled in is still there to be corrected.
  await expect(contract.getByLabel("Notice to")).toHaveValue("Claims desk");
  await contract.getByLabel("Ends on").fill("2099-12-31");
  await contract.getByRole("button", { name: "Enter the contract" }).click();
  await expect(page.locator("[data-contract='SPEC-1']")).toBeVisible();

  await page.getByText("Enter a discovery", { exact: true }).click();
  const discovery = page.getByRole("form", { name: "Enter a discovery" });
  await expect(discovery.locator("input[type=date]")).toHaveCount(0);
  await discovery.getByLabel("What was discovered").fill("Open bond at section A");
  await discovery.getByLabel("Reason: who saw or measured what").fill("4 ohm measured by Invented Person");
  await discovery.getByLabel("Full name of the person who says so").fill("Invented Owner");
  await discovery.getByRole("button", { name: "Enter as discovered today" }).click();
  const due = page.locator("[data-deadline='notice']", { hasText: "SPEC-1" });
  await expect(due).toContainText("30 days left");
  await noSeriousAxe(page);

  await page.getByText("Record a notice that was sent", { exact: true }).click();
  const notice = page.getByRole("form", { name: "Record a notice" });
  await notice.getByLabel("Contract").selectOption("SPEC-1");
  await notice.getByLabel("Sent to").fill("Claims desk");
  await notice
    .getByLabel(/The paper that was sent/)
    .setInputFiles({ name: "notice.png", mimeType: "image/png", buffer: samplePng() });
  await notice.getByRole("button", { name: "Record as sent" }).click();
  await expect(due).toContainText("sent 20");

  const download = page.waitForEvent("download");
  await page.getByRole("button", { name: "Download the evidence file" }).click();
  const saved = await download;
  expect(saved.suggestedFilename()).toMatch(/^evidence-[\w-]+\.zip$/);
  const folder = mkdtempSync(path.join(os.tmpdir(), "raintrip-spec-evidence-"));
  await unzip(await saved.path(), folder);
  expect(readdirSync(folder)).toEqual(
    expect.arrayContaining(["evidence.pdf", "manifest.json", "notices.csv", "faults.csv"]),
  );
  const verified = demo.raintrip(["verify", path.join(folder, "manifest.json"), "--json"]);
  expect(JSON.parse(verified.out)).toMatchObject({ intact: true });
  rmSync(folder, { recursive: true });

  const links = page.getByRole("form", { name: "New link" });
  await links.getByLabel("For whom").fill("Inspector");
  await links.getByRole("button", { name: "Make a link" }).click();
  const link = page.locator("[data-new-link]");
  await expect(link).toBeVisible();
  const at = (await link.getAttribute("data-new-link")) as string;
  await page.getByRole("button", { name: "Revoke" }).first().waitFor();
  const shared = await page.context().newPage();
  await shared.goto(demo.url + at);
  await expect(shared.getByRole("heading", { name: /^Evidence file: / })).toBeVisible();
  await expect(shared.getByRole("navigation")).toHaveCount(0);
  await noSeriousAxe(shared);
  await page.getByRole("button", { name: "Revoke" }).first().click();
  await expect(page.getByRole("cell", { name: "revoked", exact: true }).first()).toBeVisible();
  await shared.goto(demo.url + at);
  await expect(shared.getByRole("heading", { name: "This link opens nothing" })).toBeVisible();
});

test("a book has its calendar link and its monthly report", async ({ page, demo }) => {
  await open(page, `${demo.url}/coverage`);
  await page.getByLabel("Book").selectOption({ index: 1 });
  await page.getByRole("button", { name: "Show" }).click();
  await page.waitForURL(/book=/);
  const download = page.waitForEvent("download");
  await page.getByRole("form", { name: "Monthly report" }).getByRole("button", { name: "Make the report" }).click();
  await page
    .getByRole("link", { name: /^20\d\d-\d\d$/ })
    .first()
    .click();
  expect((await download).suggestedFilename()).toMatch(/^report-.*\.pdf$/);
  const links = page.getByRole("form", { name: "New calendar link" });
  await links.getByLabel("For whom").fill("Office");
  await links.getByRole("button", { name: "Make a link" }).click();
  const at = (await page.locator("[data-new-link]").getAttribute("data-new-link")) as string;
  const feed = await page.request.get(demo.url + at);
  expect(feed.headers()["content-type"]).toContain("text/calendar");
  expect(await feed.text()).toMatch(/^BEGIN:VCALENDAR\r\nVERSION:2\.0\r\n/);
  await page.getByRole("link", { name: "Calendar", exact: true }).click();
  await expect(page.getByRole("heading", { name: /^Deadlines in / })).toBeVisible();
  await noSeriousAxe(page);
});
