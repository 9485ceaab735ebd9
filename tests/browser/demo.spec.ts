import AxeBuilder from "@axe-core/playwright";
import type { Page } from "@playwright/test";
import type { QueueDocument } from "../../lib/reads/documents.ts";
import type { SiteTimeline } from "../../lib/reads/site-view.ts";
import { scriptsOf } from "../support/page-scripts.ts";
import { expect, test } from "./installation.ts";
import { open, openWhole } from "./open.ts";
import { overhang, type Screen, screensOf } from "./screens.ts";
import { severe } from "./severe.ts";

test("the ranked list: keyboard, filters and sorting live in the URL", async ({ page, demo }) => {
  // The rows are there before the page listens to keys: only once its scripts have run does a key mean anything.
  await open(page, `${demo.url}/sites`);
  await expect(page.locator("tr[data-row]")).toHaveCount(50);
  // What has to be fetched before the page listens: it opens on a slow line too.
  const textAt = async (at: string) => (await page.request.get(new URL(at, demo.url).href)).text();
  const html = await textAt("/sites");
  const scripts = await scriptsOf(html, textAt);
  expect(scripts.files).toBeGreaterThan(3);
  expect(scripts.bytes).toBeLessThanOrEqual(200_000);
  // What the server draws and says: the first screen's rows, and the data of all.
  expect([...html.matchAll(/<tr data-row=/g)]).toHaveLength(12);
  const drawn = html.replace(/<script[^>]*>.*?<\/script>/gs, "");
  expect([...drawn.matchAll(/<[a-z]/g)].length).toBeLessThan(900);
  expect(html.length).toBeLessThan(160_000);
  await expect(page.getByRole("region", { name: "Sites to make safe now" })).toBeVisible();
  await page.keyboard.press("Control+/");
  await expect(page.getByRole("searchbox")).toBeFocused();
  await page.keyboard.type("S007");
  await page.waitForURL(/search=S007/);
  await expect(page.locator("tr[data-row]")).toHaveCount(1);
  await page.getByRole("searchbox").fill("");
  await expect(page.locator("tr[data-row]")).toHaveCount(50);
  await page.getByRole("combobox", { name: "Urgency" }).selectOption("make_safe");
  await page.waitForURL(/urgency=make_safe/);
  await expect(page.locator("tr[data-row] .urgency.make_safe").first()).toBeVisible();
  await expect(page.locator("tr[data-row] .urgency.watch")).toHaveCount(0);
  await page.getByRole("button", { name: "Bonding defect" }).click();
  await page.waitForURL(/sort=probability/);
  await expect(page.getByRole("columnheader", { name: /Bonding defect/ })).toHaveAttribute("aria-sort", "descending");
  const openers = page.locator("button[data-site]");
  await openers.first().focus();
  await page.keyboard.press("ArrowDown");
  await expect(openers.nth(1)).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(page.getByText("Strongest for a defect")).toBeVisible();
  await page.keyboard.press("Space");
  await expect(page.getByText("1 site chosen")).toBeVisible();
  await page.getByRole("link", { name: "Open the site" }).click();
  await page.waitForURL(/\/sites\/S\d+/);
  await page.goBack();
  await page.waitForURL(/sort=probability.*urgency=make_safe|urgency=make_safe.*sort=probability/);
});

test("the manager's journey: from an alert to a queued visit; columns and filters stay with them", async ({
  page,
  demo,
}) => {
  await page.goto(`${demo.url}/alerts`, { waitUntil: "networkidle" });
  const site = page.locator('main a[href^="/sites/S"]').first();
  const siteId = decodeURIComponent(((await site.getAttribute("href")) ?? "").replace("/sites/", ""));
  await site.click();
  await expect(page.getByRole("heading", { name: "History of its probability" })).toBeVisible();
  await page.goto(`${demo.url}/sites?search=${siteId}`, { waitUntil: "networkidle" });
  await page
    .getByRole("checkbox", { name: /^Choose (?!all)/ })
    .first()
    .check();
  await page.getByRole("button", { name: "Queue a visit" }).click();
  await expect(page.getByText(/1 site queued\.|on record already/)).toBeVisible();
  await page.goto(`${demo.url}/visits`);
  await expect(page.getByRole("row", { name: new RegExp(siteId) }).first()).toBeVisible();

  await page.goto(`${demo.url}/sites?urgency=urgent`, { waitUntil: "networkidle" });
  await page.getByText("Columns and kept filters").click();
  const kept = page.waitForResponse((r) => r.url().endsWith("/setting") && r.request().method() === "POST");
  await page.getByRole("checkbox", { name: "Metal energised" }).click();
  expect((await kept).ok()).toBe(true);
  await page.getByLabel("Keep the filters now set").fill("Urgent ones");
  const named = page.waitForResponse((r) => r.url().endsWith("/setting") && r.request().method() === "POST");
  await page.getByRole("button", { name: "Keep", exact: true }).click();
  expect((await named).ok()).toBe(true);
  await page.goto(`${demo.url}/sites`, { waitUntil: "networkidle" });
  await expect(page.getByRole("columnheader", { name: "Metal energised" })).toBeVisible();
  await page.getByRole("button", { name: "Urgent ones", exact: true }).click();
  await page.waitForURL(/urgency=urgent/);
  // The map draws the same list.
  await page.getByText("Map of these sites").click();
  await expect(page.locator(".sites-map .site.urgent").first()).toBeVisible();
  // Two presses do what a drag does.
  const map = page.locator(".sites-map svg");
  await map.click({ position: { x: 3, y: 3 } });
  await expect(page.getByText("Now press the corner across from it.")).toBeVisible();
  const size = await map.boundingBox();
  await map.click({ position: { x: (size?.width ?? 0) - 3, y: (size?.height ?? 0) - 3 } });
  await page.waitForURL(/box=/);
  // On the way to another address the page keeps its name: without one, who listens to it is nowhere.
  await page.evaluate(() => {
    const seen = { nameless: 0 };
    Object.assign(window, { seen });
    const look = () => document.title === "" && seen.nameless++;
    new MutationObserver(look).observe(document.head, { childList: true, subtree: true });
  });
  await page.getByRole("button", { name: "Whole map again" }).click();
  await page.waitForURL((address) => !address.searchParams.has("box"));
  const scan = await new AxeBuilder({ page }).analyze();
  expect(severe(scan, "/sites")).toEqual([]);
  expect(await page.evaluate(() => (window as unknown as { seen: { nameless: number } }).seen.nameless)).toBe(0);
});

test("the time line goes from a year by the day to a month by the hour and back, and keeps its faults", async ({
  page,
  demo,
}) => {
  const queue = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  await page.goto(`${demo.url}/sites/${queue.visits[0]?.site_id}`);
  const chart = page.locator("[data-chart=timeline][data-painted]");
  await expect(chart).toBeVisible();
  const year = page.getByText(/Ground faults as a table \((\d+)\)/);
  const ofYear = await year.textContent();
  const hours = page.waitForResponse(/timeline/);
  await page.getByRole("button", { name: "Last month by the hour" }).click();
  const month = (await (await hours).json()) as SiteTimeline;
  expect(month.step).toBe("hour");
  await expect(page.getByText(`Ground faults as a table (${month.faults.length})`)).toBeVisible();
  await expect(chart).toBeVisible();
  await page.getByRole("button", { name: "Back to twelve months" }).click();
  await expect(year).toHaveText(ofYear ?? "");
});

/** Figures of a part of the page that open no working, and workings that leave out what goes in, how or where from. */
const unexplained = (page: Page, part: string) =>
  page.evaluate((name) => {
    const place = document.querySelector(`[data-part="${name}"]`);
    if (!place) return [`the page has no ${name}`];
    const wrong: string[] = [];
    const walker = document.createTreeWalker(place, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode()) {
      const at = node.parentElement as HTMLElement;
      // A moment is no figure, nor is the name of a site, a section or an inverter; the log of an emergency is what people did.
      if (!/\d/.test(node.textContent ?? "") || at.closest("time, h1, a[href], option, .make-safe, [data-label=Where]"))
        continue;
      const opens = at.closest("button[popovertarget]")?.getAttribute("popovertarget");
      const working = opens ? document.getElementById(opens) : null;
      const inputs = [...(working?.querySelectorAll("dd") ?? [])].filter((dd) => dd.textContent?.trim());
      const told = ["[data-how]", "[data-source]"].every(
        (which) => (working?.querySelector(which)?.textContent ?? "").length >= 15,
      );
      if (inputs.length === 0 || !told)
        wrong.push(`${name}: ${at.closest("p, tr, li, dd, td")?.textContent} -> ${opens}`);
    }
    return wrong;
  }, part);

test("every figure of the answer, the evidence and the history opens its working, by the keyboard too", async ({
  page,
  demo,
}) => {
  const queue = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  for (const siteId of [queue.visits[0]?.site_id, queue.watch[0]?.site_id]) {
    await page.goto(`${demo.url}/sites/${siteId}`);
    await expect(page.locator("[data-next-tests=ready]")).toBeVisible();
    for (const part of ["answer", "evidence", "history"]) expect(await unexplained(page, part)).toEqual([]);
  }
  const parts = await page
    .locator("main [data-part]")
    .evaluateAll((all) => all.map((e) => e.getAttribute("data-part")));
  expect(parts).toEqual(["answer", "evidence", "picture", "path", "records", "visits", "coverage", "history"]);
  const figure = page.locator("[data-part=evidence] .figure").first();
  await figure.focus();
  await page.keyboard.press("Enter");
  const working = page.locator(".working:popover-open");
  await expect(working.getByRole("heading", { name: "How it is reckoned" })).toBeVisible();
  await page.keyboard.press("Escape");
  await expect(working).toHaveCount(0);
  await expect(figure).toBeFocused();
});

test("every page, light and dark: nothing serious for axe, nothing wider than a desk or a phone, no error in the console", async ({
  page,
  demo,
}) => {
  test.setTimeout(240_000);
  const wrong: string[] = [];
  const screens = (await screensOf(demo.url, page.request)).filter((screen) => !screen.act);
  expect(screens.length).toBeGreaterThan(25);
  const look = async (tab: Page, { name, at }: Screen) => {
    await tab.setViewportSize({ width: 1440, height: 900 });
    await tab.emulateMedia({ colorScheme: "light" });
    await openWhole(tab, demo.url + at);
    // Targets of 24 px (WCAG 2.2, 2.5.8) are a rule that axe leaves out unless asked.
    const all = new AxeBuilder({ page: tab }).options({ rules: { "target-size": { enabled: true } } });
    wrong.push(...severe(await all.analyze(), `${name} light`));
    if ((await overhang(tab)) > 0) wrong.push(`${name} is wider than a desk`);
    const text = (await tab.locator("main").textContent()) ?? "";
    for (const [bare] of text.matchAll(/probability (?:of )?[<>]?[01]\.\d+(?![\d.]*\s*\()/gi))
      wrong.push(`${name}: ${bare}`);
    await tab.emulateMedia({ colorScheme: "dark" });
    wrong.push(...severe(await new AxeBuilder({ page: tab }).withRules(["color-contrast"]).analyze(), `${name} dark`));
    await tab.setViewportSize({ width: 390, height: 844 });
    if ((await overhang(tab)) > 0) wrong.push(`${name} is wider than a phone by ${await overhang(tab)} px`);
  };
  // Two at a time: each waits for the server and for itself.
  await Promise.all(
    [page, await page.context().newPage()].map(async (tab) => {
      tab.on("console", (m) => {
        if (["error", "warning"].includes(m.type()) && !m.text().includes("status of 404"))
          wrong.push(`${tab.url()} ${m.text()}`);
      });
      tab.on("pageerror", (e) => wrong.push(`${tab.url()} ${e.message}`));
      for (let screen = screens.shift(); screen; screen = screens.shift()) await look(tab, screen);
    }),
  );
  expect(wrong).toEqual([]);
});

test("on a phone nothing is serious for axe on the pages that are used there", async ({ page, demo }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  const queue = (await (await page.request.get(`${demo.url}/api/v1/queue`)).json()) as QueueDocument;
  const visit = queue.visits[0];
  const visitAt = `/visits/${encodeURIComponent(visit?.visit_id ?? "")}`;
  for (const at of ["/sites", `/sites/${visit?.site_id}`, "/visits", "/visits/today", visitAt, "/alerts"]) {
    await openWhole(page, demo.url + at);
    expect(severe(await new AxeBuilder({ page }).analyze(), at)).toEqual([]);
  }
});

test("from the keyboard the focus goes down the page in reading order, is seen, and each stop has a name", async ({
  page,
  demo,
}) => {
  await open(page, `${demo.url}/sites`);
  const names: string[] = [];
  for (let stop = 0; stop < 24; stop++) {
    await page.keyboard.press("Tab");
    const at = await page.evaluate(() => {
      const element = document.activeElement as HTMLElement;
      const field = element as HTMLInputElement;
      const box = element.getBoundingClientRect();
      const name = element.getAttribute("aria-label") || element.textContent || field.labels?.[0]?.textContent || "";
      const style = getComputedStyle(element);
      const seen = box.bottom > 0 && box.top < innerHeight && box.width > 0 && style.outlineStyle !== "none";
      return { name: name.trim(), seen };
    });
    expect(at.name, `stop ${stop} after ${names.at(-1)}`).not.toBe("");
    expect(at.seen, `the focus is not seen on ${at.name}`).toBe(true);
    names.push(at.name);
  }
  expect(names.slice(0, 4)).toEqual(["To the content", "Raintrip", "Sites", "Visits"]);
  const places = ["Glossary", "Sign out"].map((name) => names.indexOf(name));
  expect(places).toEqual([...places].sort((a, b) => a - b));
  expect(places[0]).toBeGreaterThan(3);
  await open(page, `${demo.url}/sites`);
  await page.keyboard.press("Tab");
  await page.keyboard.press("Enter");
  await page.keyboard.press("Tab");
  expect(await page.evaluate(() => document.querySelector("main")?.contains(document.activeElement))).toBe(true);
});

test("on a phone the header is one row; its button names the page, opens the others by key and gives the focus back", async ({
  page,
  demo,
}) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await open(page, `${demo.url}/visits`);
  expect((await page.getByRole("banner").boundingBox())?.height).toBeLessThan(64);
  const button = page.getByRole("button", { name: /^Menu: Visits/ });
  const pages = page.getByRole("navigation", { name: "Main" });
  await expect(pages).toBeHidden();
  for (let stop = 0; stop < 3; stop++) await page.keyboard.press("Tab");
  await expect(button).toBeFocused();
  await page.keyboard.press("Enter");
  await expect(pages).toBeVisible();
  expect(severe(await new AxeBuilder({ page }).analyze(), "the menu")).toEqual([]);
  await page.keyboard.press("Tab");
  await expect(pages.getByRole("link", { name: "Sites" })).toBeFocused();
  await page.keyboard.press("Escape");
  await expect(pages).toBeHidden();
  await expect(button).toBeFocused();
  await button.click();
  await pages.getByRole("link", { name: "Sites" }).click();
  await page.waitForURL(/\/sites$/);
  await expect(page.getByRole("button", { name: /^Menu: Sites/ })).toBeVisible();
  await expect(pages).toBeHidden();
});

test("a page that does not exist says so and leads back", async ({ page, demo }) => {
  await page.goto(`${demo.url}/sites/NOPE`);
  await expect(page.getByRole("heading", { name: /No such site/ })).toBeVisible();
  await page.goto(`${demo.url}/nowhere`);
  await page.getByRole("link", { name: "To the ranked sites" }).click();
  await expect(page.getByRole("heading", { name: "Ranked sites" })).toBeVisible();
});
