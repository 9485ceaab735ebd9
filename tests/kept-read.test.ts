import { afterEach, beforeEach, expect, test } from "vitest";
import { LOCAL_ACTOR } from "../lib/store/actor.ts";
import { keptRead } from "../lib/store/kept-read.ts";

const holder = globalThis as { raintripShareMs?: number | undefined };
beforeEach(() => {
  holder.raintripShareMs = 1000;
});
afterEach(() => {
  holder.raintripShareMs = undefined;
});

test("an answer is kept while its version is the same, for those who see the same rows, and never by a command", async () => {
  let reads = 0;
  const ask = (version: string, actor = LOCAL_ACTOR) => keptRead(actor, "sum", version, async () => ++reads);
  expect([await ask("a"), await ask("a"), await ask("b"), await ask("b")]).toEqual([1, 1, 2, 2]);
  // What went before is not kept beside it.
  expect(await ask("a")).toBe(3);
  const owner = { ...LOCAL_ACTOR, role: "owner", portfolios: ["North"] };
  expect([await ask("a", owner), await ask("a", { ...owner, portfolios: ["South"] }), await ask("a")]).toEqual([
    4, 5, 3,
  ]);
  holder.raintripShareMs = undefined;
  expect([await ask("a"), await ask("a")]).toEqual([6, 7]);
});

test("what failed is asked anew", async () => {
  const failing = keptRead(LOCAL_ACTOR, "broken", "a", async () => {
    throw new Error("away");
  });
  await expect(failing).rejects.toThrow("away");
  expect(await keptRead(LOCAL_ACTOR, "broken", "a", async () => "here")).toBe("here");
});
