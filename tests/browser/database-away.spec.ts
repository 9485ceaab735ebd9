import { expect, test } from "./installation.ts";

const AWAY = "the server or its database does not answer at the moment";

test("a list that is open while the database restarts says so, keeps what is typed, and goes on by itself", async ({
  context,
  page,
  demo,
}) => {
  await page.goto(`${demo.url}/sites`);
  const search = page.getByRole("searchbox");
  await page
    .getByRole("checkbox", { name: /^Choose (?!all)/ })
    .first()
    .check();
  const reason = page.getByRole("textbox", { name: "Reason" });
  await reason.fill("the ladder is away");
  const loaded = await context.newPage();
  const followed = await context.newPage();
  await followed.goto(`${demo.url}/glossary`);
  await demo.withoutDatabase(async () => {
    await search.fill("S007");
    await expect(page.getByRole("alert").filter({ hasText: AWAY })).toBeVisible();
    await page.getByText("Columns and kept filters").click();
    await page.getByRole("textbox", { name: /Keep the filters/ }).fill("only that one");
    await page.getByRole("button", { name: "Keep", exact: true }).click();
    await expect(search).toHaveValue("S007");
    await expect(reason).toHaveValue("the ladder is away");
    await loaded.goto(`${demo.url}/visits`);
    await followed.getByRole("link", { name: "Visits", exact: true }).click();
    for (const tab of [loaded, followed])
      await expect(tab.getByRole("heading", { name: "Raintrip does not answer at the moment" })).toBeVisible();
  });
  await expect(page.getByRole("row").filter({ hasText: "S007" })).toBeVisible();
  await expect(page.getByRole("row")).toHaveCount(2);
  await expect(page.getByRole("alert").filter({ hasText: AWAY })).toBeHidden();
  await expect(page).toHaveURL(/search=S007/);
  await expect(search).toHaveValue("S007");
  await expect(reason).toHaveValue("the ladder is away");
  await expect(page.getByText("1 site chosen")).toBeVisible();
  for (const tab of [loaded, followed])
    await expect(tab.getByRole("heading", { level: 1, name: "Visits" })).toBeVisible();
  const kept = async () => (await (await page.request.get(`${demo.url}/api/pages/sites/setting`)).json()).filters;
  await expect.poll(kept).toEqual([{ name: "only that one", search: "?search=S007" }]);
});
