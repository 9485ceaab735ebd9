import http from "node:http";
import type { AddressInfo } from "node:net";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { guardedFetch } from "../../lib/live/guarded-fetch.ts";
import { NotProven, ProviderClient, ProviderUnreachable } from "../../lib/sign-in/provider-client.ts";

/** What the provider of these tests says of itself, and everything that it was asked. */
let says: Record<string, unknown> = {};
const asked: string[] = [];
const server = http.createServer((request, response) => {
  asked.push(`${request.method} ${request.url}`);
  if (request.url === "/away") response.writeHead(302, { location: "http://169.254.169.254/latest" }).end();
  else if (request.url === "/large") response.end(Buffer.alloc(2000));
  else if (request.url === "/slow") setTimeout(() => response.end(), 5_000).unref();
  else if (request.url === "/token")
    response.writeHead(400, { "content-type": "application/json" }).end('{"error":"invalid_client"}');
  else response.writeHead(200, { "content-type": "application/json" }).end(JSON.stringify(says));
});
let own: URL;
beforeAll(async () => {
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  own = new URL(`http://127.0.0.1:${(server.address() as AddressInfo).port}`);
});
afterAll(() => {
  server.closeAllConnections();
  server.close();
});

describe("asking a service that names further addresses", () => {
  const limits = { timeoutMs: 2_000, maxBytes: 1_000 };

  test("never enters a private network, this machine or the machine's own data, by number or by name", async () => {
    const ask = guardedFetch(new URL("https://login.example"), limits);
    for (const host of [
      "127.0.0.1",
      "10.1.2.3",
      "169.254.169.254",
      "[::1]",
      "[fd00::1]",
      "[::ffff:10.0.0.1]",
      "localhost",
      "2130706433",
      "0x7f.1",
    ])
      await expect(ask(`https://${host}/keys`), host).rejects.toThrow(/private network/);
  });

  test("never asks without https, but this machine when the service is there", async () => {
    await expect(guardedFetch(new URL("https://login.example"), limits)("http://login.example/")).rejects.toThrow(
      /https/,
    );
    await expect(guardedFetch(own, limits)("http://login.example/")).rejects.toThrow(/https/);
    await expect(guardedFetch(own, limits)("file:///etc/passwd")).rejects.toThrow(/https/);
    expect((await guardedFetch(own, limits)(`${own.origin}/ok`)).status).toBe(200);
  });

  test("follows no redirect, and gives up what is too large or too slow", async () => {
    const away = await guardedFetch(own, limits)(`${own.origin}/away`);
    expect([away.status, away.headers.get("location")]).toEqual([302, "http://169.254.169.254/latest"]);
    await expect(guardedFetch(own, limits)(`${own.origin}/large`)).rejects.toThrow(/larger than 1000/);
    await expect(guardedFetch(own, { ...limits, timeoutMs: 50 })(`${own.origin}/slow`)).rejects.toThrow(
      /abort|timeout/i,
    );
  });
});

describe("an identity provider that says strange things of itself", () => {
  const client = () =>
    new ProviderClient(
      { name: "x", issuer: own.origin, clientId: "c", clientSecret: "secret-x" },
      "http://localhost:4710/cb",
      2_000,
    );
  const metadata = (more: Record<string, unknown> = {}) => ({
    issuer: own.origin,
    authorization_endpoint: `${own.origin}/auth`,
    token_endpoint: `${own.origin}/token`,
    jwks_uri: `${own.origin}/keys`,
    ...more,
  });

  // OpenID Connect Discovery 1.0, section 4.3: the issuer in the answer is the one that was asked.
  test("another issuer's name, no JSON and a redirect are refused", async () => {
    says = metadata({ issuer: "https://login.example" });
    await expect(client().begin()).rejects.toThrow(ProviderUnreachable);
    says = {};
    await expect(client().begin()).rejects.toThrow(ProviderUnreachable);
    const elsewhere = new ProviderClient(
      { name: "x", issuer: `${own.origin}/away?`.replace("?", ""), clientId: "c", clientSecret: "s" },
      "http://localhost/cb",
      2_000,
    );
    await expect(elsewhere.begin()).rejects.toThrow(ProviderUnreachable);
  });

  test("a token endpoint inside the network is not called", async () => {
    says = metadata({ token_endpoint: "https://169.254.169.254/token" });
    const one = client();
    const { challenge, url } = await one.begin();
    expect(new URL(url).searchParams.get("code_challenge_method")).toBe("S256");
    const answer = new URLSearchParams({ code: "c-1", state: challenge.state });
    await expect(one.finish(answer, challenge)).rejects.toThrow(/private network/);
  });

  test("a page to sign in at that is no web address is not sent to a browser", async () => {
    says = metadata({ authorization_endpoint: "javascript:alert(1)" });
    await expect(client().begin()).rejects.toThrow(ProviderUnreachable);
  });

  test("a refusal is told by its word, and never with the secret", async () => {
    says = metadata();
    const one = client();
    const { challenge } = await one.begin();
    asked.length = 0;
    const error = await one
      .finish(new URLSearchParams({ code: "c-1", state: challenge.state }), challenge)
      .catch((thrown: Error) => thrown);
    expect(error).toBeInstanceOf(NotProven);
    expect(String((error as Error).message)).toContain("invalid_client");
    expect(String((error as Error).stack)).not.toContain("secret-x");
    expect(asked).toEqual(["POST /token"]);
  });
});
