import { afterEach, describe, expect, test } from "vitest";
import type { Actor } from "../lib/store/actor.ts";
import { sharedRead } from "../lib/store/shared-read.ts";

const holder = globalThis as { raintripShareMs?: number; raintripShared?: Map<string, unknown> };
const manager: Actor = { accountId: 1, person: "a", role: "manager", portfolios: null, crewId: null };

afterEach(() => {
  delete holder.raintripShareMs;
  delete holder.raintripShared;
});

function counting(values: readonly number[] = []) {
  let n = 0;
  const read = async () => values[n++] ?? n;
  return { read, asked: () => n };
}

describe("sharedRead", () => {
  test("outside the web server everything is read anew", async () => {
    const { read, asked } = counting();
    await sharedRead(manager, "n", read);
    await sharedRead(manager, "n", read);
    expect(asked()).toBe(2);
  });

  test("is shared for its time, also by those who ask while it is being read, and then read anew", async () => {
    holder.raintripShareMs = 1000;
    const { read, asked } = counting();
    const same = await Promise.all([0, 400, 999].map((now) => sharedRead(manager, "n", read, undefined, now)));
    expect(same).toEqual([1, 1, 1]);
    expect(await sharedRead(manager, "n", read, undefined, 1000)).toBe(2);
    expect(asked()).toBe(2);
  });

  const others: [string, Actor][] = [
    ["account", { ...manager, accountId: 2 }],
    ["role", { ...manager, role: "owner", portfolios: [] }],
    ["books", { ...manager, role: "token", portfolios: ["A"] }],
    ["crew", { ...manager, role: "technician", crewId: "C1" }],
    ["site", { ...manager, siteId: "S001" }],
  ];
  test.each(others)("is never given to another %s", async (_what, other) => {
    holder.raintripShareMs = 1000;
    const { read } = counting();
    expect(await sharedRead(manager, "n", read, undefined, 0)).toBe(1);
    expect(await sharedRead(other, "n", read, undefined, 0)).toBe(2);
    expect(await sharedRead(manager, "n", read, undefined, 0)).toBe(1);
  });

  test("an answer that may not be kept, and one that failed, is asked for again", async () => {
    holder.raintripShareMs = 1000;
    const { read } = counting([0, 7]);
    const positive = (n: number) => n > 0;
    expect(await sharedRead(manager, "n", read, positive, 0)).toBe(0);
    expect(await sharedRead(manager, "n", read, positive, 1)).toBe(7);
    expect(await sharedRead(manager, "n", read, positive, 2)).toBe(7);
    const failing = () => Promise.reject(new Error("away"));
    await expect(sharedRead(manager, "m", failing, undefined, 0)).rejects.toThrow("away");
    expect(await sharedRead(manager, "m", read, undefined, 1)).toBe(3);
  });

  test("keeps so many and no more", async () => {
    holder.raintripShareMs = 1000;
    for (let accountId = 1; accountId <= 600; accountId++)
      await sharedRead({ ...manager, accountId }, "n", async () => 1, undefined, 0);
    expect(holder.raintripShared?.size).toBe(500);
  });
});
