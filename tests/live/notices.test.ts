import http from "node:http";
import type { AddressInfo } from "node:net";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { noticeConfiguration } from "../../lib/live/notice-settings.ts";
import { isPublicAddress, PrivateAddress, publicLookup } from "../../lib/live/public-address.ts";
import { quietUntil } from "../../lib/live/quiet-hours.ts";
import { sendWebhook, webhookRefusal, webhookSignature } from "../../lib/live/send-webhook.ts";

describe("isPublicAddress", () => {
  // IANA IPv4 and IPv6 Special-Purpose Address Registries (RFC 6890 and its updates), from memory.
  test.each([
    ...[
      "0.0.0.0",
      "10.1.2.3",
      "100.64.0.1",
      "127.0.0.1",
      "127.8.8.8",
      "169.254.169.254",
      "172.16.0.1",
      "172.31.255.255",
    ],
    ...[
      "192.0.2.1",
      "192.168.0.1",
      "198.18.0.1",
      "198.51.100.7",
      "203.0.113.9",
      "224.0.0.1",
      "240.0.0.1",
      "255.255.255.255",
    ],
    ...[
      "::",
      "::1",
      "fe80::1",
      "fc00::1",
      "fd12:3456::1",
      "ff02::1",
      "2001:db8::1",
      "::ffff:127.0.0.1",
      "::ffff:10.0.0.1",
    ],
    ...["64:ff9b::7f00:1", "2002:7f00:1::1", "not an address", ""],
  ])("%s is not called", (address) => {
    expect(isPublicAddress(address)).toBe(false);
  });
  test.each(["8.8.8.8", "172.32.0.1", "192.169.0.1", "2606:4700::1111", "::ffff:8.8.8.8"])("%s is", (address) => {
    expect(isPublicAddress(address)).toBe(true);
  });
});

describe("webhookRefusal", () => {
  test.each([
    ["http://hooks.example.com/x", /https/],
    ["https://127.0.0.1/x", /private network/],
    ["https://[::1]/x", /private network/],
    ["https://2130706433/x", /private network/],
    ["https://0x7f.1/x", /private network/],
    ["https://localhost:8443/", /private network/],
    ["https://user:pw@hooks.example.com/", /user name/],
    ["hooks", /no address/],
    ["file:///etc/passwd", /https/],
  ])("%s is refused", (address, says) => {
    expect(webhookRefusal(address, false)).toMatch(says);
  });
  test("a public https address is taken, and a private one when the installation says so", () => {
    expect(webhookRefusal("https://hooks.example.com/x", false)).toBeNull();
    expect(webhookRefusal("http://127.0.0.1:9/x", true)).toBeNull();
  });
});

describe("quietUntil", () => {
  const night = { from: "22:00", to: "06:30", timeZone: "America/Chicago" };
  test("ends at the hour of the zone's clock, over midnight and over the end of summer time", () => {
    // Chicago is UTC-5 in October and UTC-6 in December; summer time ends on 2026-11-01 at 02:00.
    expect(quietUntil(night, Date.parse("2026-10-06T04:00:00Z"))).toBe(Date.parse("2026-10-06T11:30:00Z"));
    expect(quietUntil(night, Date.parse("2026-12-01T05:00:00Z"))).toBe(Date.parse("2026-12-01T12:30:00Z"));
    expect(quietUntil(night, Date.parse("2026-11-01T04:00:00Z"))).toBe(Date.parse("2026-11-01T12:30:00Z"));
    expect(quietUntil(night, Date.parse("2026-10-06T11:30:00Z"))).toBeNull();
    expect(quietUntil(night, Date.parse("2026-10-06T18:00:00Z"))).toBeNull();
  });
  test("none are kept where none are set", () => {
    expect(quietUntil({ from: null, to: null, timeZone: "UTC" }, 0)).toBeNull();
    expect(quietUntil({ from: "08:00", to: "08:00", timeZone: "UTC" }, 8 * 3_600_000)).toBeNull();
  });
});

describe("noticeConfiguration", () => {
  test("nothing is sent without an address, and what is wrong is said", () => {
    expect(noticeConfiguration({})).toEqual({ settings: { smtp: null, allowPrivate: false }, wrong: null });
    expect(noticeConfiguration({ RAINTRIP_SMTP_URL: "mail.example" }).wrong).toMatch(/RAINTRIP_SMTP_URL/);
    expect(noticeConfiguration({ RAINTRIP_SMTP_URL: "smtp://mail.example" }).wrong).toMatch(/RAINTRIP_SMTP_FROM/);
    const on = noticeConfiguration({ RAINTRIP_SMTP_URL: "smtps://m.example", RAINTRIP_SMTP_FROM: "a@b.example" });
    expect(on).toMatchObject({ wrong: null, settings: { smtp: { from: "a@b.example" } } });
  });
});

describe("sendWebhook", () => {
  let server: http.Server;
  let url = "";
  const asked: { headers: http.IncomingHttpHeaders; body: string }[] = [];
  let behave: (response: http.ServerResponse) => void = (response) => response.writeHead(204).end();
  beforeAll(async () => {
    server = http.createServer((request, response) => {
      let body = "";
      request.on("data", (chunk) => {
        body += chunk;
      });
      request.on("end", () => {
        asked.push({ headers: request.headers, body });
        behave(response);
      });
    });
    await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
    url = `http://127.0.0.1:${(server.address() as AddressInfo).port}/hook`;
  });
  afterAll(async () => {
    server.closeAllConnections();
    await new Promise((resolve) => server.close(resolve));
  });
  const call = { secret: "s3cret", noticeId: "n-1", body: '{"a":"ü"}', timestamp: 1_700_000_000 };
  const send = (timeoutMs = 2000) => sendWebhook({ ...call, url }, { allowPrivate: true, timeoutMs });

  test("carries a signature that another implementation of HMAC-SHA256 agrees with", async () => {
    expect(await send()).toEqual({ ok: true, says: "answered 204" });
    const { headers, body } = asked.at(-1) as (typeof asked)[number];
    const bytes = new TextEncoder();
    const key = await crypto.subtle.importKey(
      "raw",
      bytes.encode(call.secret),
      { name: "HMAC", hash: "SHA-256" },
      false,
      ["sign"],
    );
    const signed = await crypto.subtle.sign("HMAC", key, bytes.encode(`${headers["raintrip-timestamp"]}.${body}`));
    expect(headers["raintrip-signature"]).toBe(`v1=${Buffer.from(signed).toString("hex")}`);
    expect(webhookSignature(call.secret, call.timestamp + 1, body)).not.toBe(Buffer.from(signed).toString("hex"));
    expect(headers["raintrip-notice"]).toBe("n-1");
  });
  test("a redirect is not followed, an error and silence are told apart", async () => {
    behave = (response) => response.writeHead(302, { location: `${url}/elsewhere` }).end();
    const before = asked.length;
    expect(await send()).toMatchObject({ ok: false, final: false, says: expect.stringContaining("redirect") });
    expect(asked.length).toBe(before + 1);
    behave = (response) => response.writeHead(500).end("x".repeat(100_000));
    expect(await send()).toMatchObject({ ok: false, final: false, says: "answered 500" });
    behave = () => {};
    expect(await send(200)).toMatchObject({ ok: false, final: false, says: "no answer in 0.2 s" });
    behave = (response) => response.destroy();
    expect(await send()).toMatchObject({ ok: false, final: false, says: expect.stringContaining("connection failed") });
  });
  test("a name that leads to this host is refused although a name can look public", async () => {
    for (const options of [{}, { all: true }]) {
      const refused = await new Promise((resolve) => {
        publicLookup("localhost", options, (error) => resolve(error));
      });
      expect(refused).toBeInstanceOf(PrivateAddress);
    }
  });
});
