import { expect, test } from "./installation.ts";
import { open } from "./open.ts";

const AWAY = "the server or its database does not answer at the moment";

test("a list that is open while the database restarts says so, keeps what is typed, and goes on by itself", async ({
  context,
  page,
  demo,
}) => {
  await open(page, `${demo.url}/sites`);
  const search = page.getByRole("searchbox");
  await page
    .getByRole("checkbox", { name: /^Choose (?!all)/ })
    .first()
    .check();
  const reason = page.getByRole("textbox", { name: "Reason" });
  await reason.fill("the ladder is away");
  const other = await context.newPage();
  await demo.withoutDatabase(async () => {
    await search.fill("S007");
    await expect(page.getByRole("alert").filter({ hasText: AWAY })).toBeVisible();
    await page.getByText("Columns and kept filters").click();
    await page.getByRole("textbox", { name: /Keep the filters/ }).fill("only that one");
    await page.getByRole("button", { name: "Keep", exact: true }).click();
    await expect(search).toHaveValue("S007");
    await expect(reason).toHaveValue("the ladder is away");
    await expect(async () => {
      await other.goto(`${demo.url}/visits`);
      await expect(other.getByRole("heading", { name: "Raintrip does not answer at the moment" })).toBeVisible();
    }).toPass();
  });
  await expect(page.getByRole("row").filter({ hasText: "S007" })).toBeVisible({ timeout: 60_000 });
  await expect(page.getByRole("row")).toHaveCount(2);
  await expect(page.getByRole("alert").filter({ hasText: AWAY })).toBeHidden();
  await expect(page).toHaveURL(/search=S007/);
  await expect(search).toHaveValue("S007");
  await expect(reason).toHaveValue("the ladder is away");
  await expect(page.getByText("1 site chosen")).toBeVisible();
  await expect(other.getByRole("heading", { level: 1, name: "Visits" })).toBeVisible();
  const kept = async () => (await (await page.request.get(`${demo.url}/api/pages/sites/setting`)).json()).filters;
  await expect.poll(kept).toContainEqual({ name: "only that one", search: "?search=S007" });
});
