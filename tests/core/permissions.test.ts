import { describe, expect, test } from "vitest";
import { authorise, may, OPERATIONS, type Operation } from "../../lib/core/permissions.ts";

const all = Object.keys(OPERATIONS) as Operation[];

describe("may", () => {
  test("lets nobody do anything by an unknown role, and the program itself everything", () => {
    for (const operation of all) {
      for (const role of ["", "Administrator", "root", "sign_in", "constructor"])
        expect(may({ role }, operation), `${role} ${operation}`).toBe(false);
      expect(may({ role: "system" }, operation)).toBe(true);
    }
  });

  test("a token does only what its scopes name, whatever else it carries", () => {
    for (const operation of all) {
      expect(may({ role: "token" }, operation), operation).toBe(false);
      expect(may({ role: "token", scopes: ["administrator", "manager"] }, operation), operation).toBe(false);
    }
    expect(all.filter((operation) => may({ role: "token", scopes: ["import"] }, operation))).toEqual([
      "imports.read",
      "imports.write",
    ]);
    expect(may({ role: "token", scopes: ["read"] }, "plan.read")).toBe(true);
    expect(may({ role: "token", scopes: ["read"], portfolios: ["North"] }, "plan.read")).toBe(false);
    expect(may({ role: "token", scopes: ["read"], portfolios: ["North"] }, "score.read")).toBe(true);
  });

  test("a refusal says who may", () => {
    expect(() => authorise({ role: "owner" }, "parameters.write")).toThrow(/administrator, manager/);
    expect(() => authorise({ role: "token", scopes: ["read"] }, "imports.write")).toThrow(/scope import/);
    expect(() => authorise({ role: "token", scopes: ["read"] }, "audit.read")).toThrow(/no token may/);
  });
});
