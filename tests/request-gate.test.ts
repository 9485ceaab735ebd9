import { describe, expect, test } from "vitest";
import { peerAddress, refusal } from "../lib/cli/request-gate.mjs";

const HOST = "localhost:4710";
const OWN = `http://${HOST}`;
const ask = (method: string, headers: Record<string, string>, publicHost: string | null = null) =>
  refusal({ method, headers: { host: HOST, ...headers } }, publicHost);

describe("what the web server lets through", () => {
  test("answers only under names of this installation", () => {
    for (const host of ["localhost:4710", "127.0.0.1:4710", "[::1]:4710", "LOCALHOST"])
      expect(refusal({ method: "GET", headers: { host } }, null), host).toBeNull();
    for (const host of ["raintrip.example", "localhost.evil.example", "192.168.1.5:4710", "", "127.0.0.1.evil.example"])
      expect(refusal({ method: "GET", headers: { host } }, null), host).toMatch(/under this name/);
    expect(refusal({ method: "GET", headers: {} }, null)).toMatch(/under this name/);
    expect(refusal({ method: "GET", headers: { host: "raintrip.example" } }, "raintrip.example")).toBeNull();
    expect(refusal({ method: "GET", headers: { host: "other.example" } }, "raintrip.example")).toMatch(
      /under this name/,
    );
  });

  test("takes changes from pages of this very origin only, its port included", () => {
    const cookie = "raintrip-4710.session_token=x";
    for (const method of ["POST", "PUT", "PATCH", "DELETE"]) {
      expect(ask(method, { cookie, origin: OWN, "sec-fetch-site": "same-origin" }), method).toBeNull();
      for (const origin of ["https://elsewhere.example", "http://localhost:3000", "http://127.0.0.1:4710", "null", "x"])
        expect(ask(method, { cookie, origin }), `${method} ${origin}`).toMatch(/another site/);
      expect(ask(method, { cookie, origin: OWN, "sec-fetch-site": "cross-site" })).toMatch(/another site/);
      expect(ask(method, { cookie, origin: OWN, "sec-fetch-site": "same-site" })).toMatch(/another site/);
      expect(ask(method, { cookie })).toMatch(/Origin/);
      expect(ask(method, { authorization: "Bearer rt_x" }), "a program with a token").toBeNull();
    }
  });

  test("a page of another site reads nothing either, and following a link from one is no change", () => {
    expect(ask("GET", { origin: "https://elsewhere.example" })).toMatch(/another site/);
    expect(ask("GET", { origin: "null" })).toMatch(/another site/);
    expect(ask("GET", { cookie: "a=b", "sec-fetch-site": "cross-site", "sec-fetch-mode": "navigate" })).toBeNull();
  });

  test("an address is the connection's own, unless a proxy of one's own is trusted to name it", () => {
    const request = (forwarded?: string) => ({
      headers: forwarded === undefined ? {} : { "x-forwarded-for": forwarded },
      socket: { remoteAddress: "::ffff:10.0.0.9" },
    });
    expect(peerAddress(request("6.6.6.6"), false)).toBe("10.0.0.9");
    expect(peerAddress(request("6.6.6.6, 203.0.113.7"), true)).toBe("203.0.113.7");
    expect(peerAddress(request(), true)).toBe("10.0.0.9");
  });
});
