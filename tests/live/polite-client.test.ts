import type { ServerResponse } from "node:http";
import { afterEach, beforeEach, describe, expect, test } from "vitest";
import { type FeedSettings, feedConfiguration } from "../../lib/live/feed-settings.ts";
import { fetchWindow } from "../../lib/live/fetch-window.ts";
import { nwsObservations } from "../../lib/live/nws-observations.ts";
import { afterWindow, type FeedProgress, observationWindows } from "../../lib/live/observation-windows.ts";
import { CLIENT_LIMITS, PoliteClient } from "../../lib/live/polite-client.ts";
import { fail, json, StubWeather, stubOutside } from "../support/stub-weather.ts";

const HOUR = 3_600_000;
const NOW = Date.UTC(2026, 10, 20, 12);
let stub: StubWeather;
let settings: FeedSettings;
beforeEach(async () => {
  stub = new StubWeather();
  settings = await stub.start();
});
afterEach(() => stub.stop());

function client(change: Partial<FeedSettings> = {}, signal = new AbortController().signal) {
  const outside = stubOutside(NOW);
  return { outside, polite: new PoliteClient({ ...settings, ...change }, outside, signal) };
}
const body = { kind: "body", json: { ok: 1 } };
const ok = (response: Parameters<typeof json>[0]) => json(response, { ok: 1 });
const usual = () => stub.next.push((_q, response) => ok(response));

describe("PoliteClient", () => {
  test("says who asks, and leaves a gap between two requests", async () => {
    const { polite, outside } = client();
    usual();
    usual();
    await polite.get("/a");
    await polite.get("/b");
    expect(stub.asked.map((a) => a.agent)).toEqual(Array(2).fill("Raintrip (ops@example.invalid)"));
    expect(outside.slept).toEqual([CLIENT_LIMITS.gapMs]);
  });

  test("waits as long as a 429 asks for, and ends the run when that is too long", async () => {
    const { polite, outside } = client();
    stub.next.push(fail(429, { "retry-after": "7" }));
    usual();
    expect(await polite.get("/a")).toMatchObject(body);
    expect(Math.max(...outside.slept)).toBeGreaterThanOrEqual(7000);
    stub.next.push(fail(503, { "retry-after": "3600" }));
    await expect(polite.get("/a")).rejects.toMatchObject({ kind: "paused", until: expect.any(Number) });
  });

  test("a long pause asked for at the last try ends the run too, and a short one holds for the next request", async () => {
    const { polite, outside } = client();
    const fails = Array.from({ length: CLIENT_LIMITS.tries - 1 }, () => fail(503));
    stub.next.push(...fails, fail(429, { "retry-after": "3600" }));
    const paused = polite.get("/a");
    await expect(paused).rejects.toMatchObject({ kind: "paused" });
    await expect(paused).rejects.toHaveProperty("until", outside.at + 3_600_000 * 1.05);
    stub.next.push(...fails, fail(503, { "retry-after": "30" }));
    await expect(polite.get("/a")).rejects.toMatchObject({ kind: "unreachable" });
    usual();
    await polite.get("/b");
    expect(outside.slept.at(-1)).toBeGreaterThanOrEqual(30_000);
  });

  test("a pause beyond all reason is kept for a week, until an instant that exists", async () => {
    for (const asked of ["99999999999999999999", "Fri, 31 Dec 9999 23:59:59 GMT"]) {
      stub.next.push(fail(503, { "retry-after": asked }));
      const until = NOW + 7 * 24 * HOUR;
      await expect(client().polite.get("/a"), asked).rejects.toMatchObject({ kind: "paused", until });
    }
  });

  test("tries again after a 500, a cut connection and half an answer, ever later, and gives up in the end", async () => {
    const { polite, outside } = client();
    stub.next.push(
      fail(500),
      (_q, response) => response.destroy(),
      (_q, response) => response.writeHead(200, { "content-type": "application/json" }).end('{"ok":'),
    );
    usual();
    expect(await polite.get("/a")).toMatchObject(body);
    const waits = outside.slept.filter((ms) => ms > CLIENT_LIMITS.gapMs);
    expect(waits).toEqual([...waits].sort((a, b) => a - b));
    stub.next.push(...Array.from({ length: CLIENT_LIMITS.tries }, () => fail(500)));
    await expect(polite.get("/a")).rejects.toMatchObject({ kind: "unreachable" });
  });

  test("an error page or half an answer to the end is no answer, and an answer without end is cut off", async () => {
    const { polite } = client();
    const pages = [
      ["text/html", "<h1>Sorry</h1>", /text\/html, not JSON/],
      ["application/json", '{"ok":', /not whole JSON/],
    ] as const;
    for (const [type, text, says] of pages) {
      const page = (_q: unknown, response: ServerResponse) =>
        response.writeHead(200, { "content-type": type }).end(text);
      stub.next.push(...Array.from({ length: CLIENT_LIMITS.tries }, () => page));
      const asked = polite.get("/a");
      await expect(asked).rejects.toMatchObject({ kind: "bad_answer" });
      await expect(asked).rejects.toThrow(says);
      expect(stub.next).toEqual([]);
    }
    stub.next.push((_q, response) => {
      response.writeHead(200, { "content-type": "application/json" });
      response.end(`"${"x".repeat(CLIENT_LIMITS.maxBytes + 1)}"`);
    });
    const before = polite.requests;
    await expect(polite.get("/a")).rejects.toThrow(/larger than/);
    expect(polite.requests).toBe(before + 1);
  });

  test("an answer that breaks off or never comes is unreachable, and its status counts if its text is not read", async () => {
    const { polite, outside } = client();
    const broken = (status: number, headers: Record<string, string>) => (_q: unknown, response: ServerResponse) => {
      response.writeHead(status, { "content-type": "application/json", "content-length": "100", ...headers });
      response.write("{", () => response.destroy());
    };
    stub.next.push(...Array.from({ length: CLIENT_LIMITS.tries }, () => broken(200, {})));
    await expect(polite.get("/a")).rejects.toMatchObject({
      kind: "unreachable",
      message: expect.stringMatching(/connection failed/),
    });
    stub.next.push(broken(429, { "retry-after": "3600" }));
    await expect(polite.get("/a")).rejects.toMatchObject({ kind: "paused" });
    outside.timeout = () => AbortSignal.timeout(0);
    stub.next.push(...Array.from({ length: CLIENT_LIMITS.tries }, () => () => undefined));
    await expect(polite.get("/a")).rejects.toMatchObject({
      kind: "unreachable",
      message: expect.stringMatching(/in time/),
    });
  });

  test("a fault of our own comes out as it is and is not tried again", async () => {
    const fault = new RangeError("a fault of ours");
    const fails = async () => {
      throw fault;
    };
    const { polite, outside } = client();
    outside.fetch = fails;
    await expect(polite.get("/a")).rejects.toBe(fault);
    expect(polite.requests).toBe(1);
    const second = client();
    second.outside.timeout = () => {
      throw new TypeError("not of the network");
    };
    await expect(second.polite.get("/a")).rejects.toThrow("not of the network");
    expect(second.polite.requests).toBe(1);
    await expect(client().polite.get("/a", { etag: "two\nlines" })).rejects.toThrow(TypeError);
    expect(stub.asked).toEqual([]);
  });

  test("a sleep that fails is no sleep that was stopped", async () => {
    const fault = new RangeError("a fault of ours");
    const stop = new AbortController();
    const { polite, outside } = client({}, stop.signal);
    outside.sleep = async () => {
      throw fault;
    };
    stub.next.push(fail(503, { "retry-after": "1" }));
    await expect(polite.get("/a")).rejects.toBe(fault);
    await expect(polite.get("/a"), "in the gap between requests").rejects.toBe(fault);
    outside.sleep = async (_ms, signal) => {
      stop.abort(new Error("enough"));
      signal.throwIfAborted();
    };
    await expect(polite.get("/a")).rejects.toMatchObject({ kind: "cancelled" });
    expect(stub.asked).toHaveLength(1);
  });

  test("a fault of our own is not hidden by a stop at the same time", async () => {
    const fault = new RangeError("a fault of ours");
    const stop = new AbortController();
    const { polite, outside } = client({}, stop.signal);
    const failing = async () => {
      stop.abort();
      throw fault;
    };
    outside.fetch = failing;
    await expect(polite.get("/a")).rejects.toBe(fault);
  });

  test("follows a redirect within the service and none out of it", async () => {
    const { polite } = client();
    stub.next.push(fail(301, { location: "/b" }));
    usual();
    expect(await polite.get("/a")).toMatchObject(body);
    stub.next.push(fail(302, { location: "http://169.254.169.254/latest" }));
    await expect(polite.get("/a")).rejects.toMatchObject({ kind: "refused" });
    expect(stub.asked.map((a) => a.path)).toEqual(["/a", "/b", "/a"]);
  });

  test("a redirect stays under the path that was set and carries no name or password", async () => {
    const under = (path: string) => client({ baseUrl: new URL(path, settings.baseUrl) }).polite;
    stub.next.push(fail(308, { location: "/v1/b?c=1" }));
    usual();
    expect(await under("/v1").get("/a")).toMatchObject(body);
    expect(stub.asked.map((a) => a.path)).toEqual(["/v1/a", "/v1/b"]);
    const { host } = settings.baseUrl;
    const leads = ["/b", "/v10/b", "/v1", "../b", "/v1/%2e%2e/b", "/v1/..%2Fb", "/v1/%2E%2E%2fb", "/v1/..%5cb"];
    const carries = [`http://:word@${host}/v1/b`, `http://name@${host}/v1/b`, `http://name:word@${host}/v1/b`];
    for (const location of [...leads, ...carries]) {
      stub.asked.length = 0;
      stub.next.push(fail(302, { location }));
      await expect(under("/v1").get("/a"), location).rejects.toMatchObject({ kind: "refused" });
      expect(stub.asked.map((a) => a.path)).toEqual(["/v1/a"]);
    }
    stub.next.push(fail(302, { location: "b" }));
    usual();
    expect(await under("/v1/").get("/c/a"), "a slash at the end of what was set changes nothing").toMatchObject(body);
    expect(stub.asked.slice(-2).map((a) => a.path)).toEqual(["/v1/c/a", "/v1/c/b"]);
  });

  test("stops at its cap, counting tries, and at once when the run is stopped", async () => {
    const { polite } = client({ runCap: 2 });
    stub.next.push(fail(500));
    usual();
    await polite.get("/a");
    await expect(polite.get("/b")).rejects.toMatchObject({ kind: "cap" });
    expect(stub.asked).toHaveLength(2);
    const stopped = new AbortController();
    stopped.abort();
    await expect(client({}, stopped.signal).polite.get("/a")).rejects.toMatchObject({ kind: "cancelled" });
    expect(stub.asked).toHaveLength(2);
  });
});

describe("feedConfiguration", () => {
  const on = {
    RAINTRIP_WEATHER_URL: "https://weather.example.invalid/",
    RAINTRIP_WEATHER_CONTACT: "ops@example.invalid",
  };
  test("is off without an address, and wrong with what to mend rather than half on", () => {
    expect(feedConfiguration({})).toEqual({ kind: "off" });
    expect(feedConfiguration(on)).toMatchObject({ kind: "on", settings: { runCap: 300 } });
    const wrong: [Record<string, string>, RegExp][] = [
      [{ RAINTRIP_WEATHER_URL: "weather" }, /not an address/],
      [{ ...on, RAINTRIP_WEATHER_URL: "http://weather.example.invalid" }, /must begin with https/],
      [{ ...on, RAINTRIP_WEATHER_URL: "https://a:b@weather.example.invalid" }, /no user name/],
      [{ RAINTRIP_WEATHER_URL: on.RAINTRIP_WEATHER_URL }, /CONTACT is missing/],
      [{ ...on, RAINTRIP_WEATHER_RUN_CAP: "many" }, /RUN_CAP is a number/],
    ];
    for (const [env, says] of wrong)
      expect(feedConfiguration(env)).toMatchObject({ kind: "wrong", says: expect.stringMatching(says) });
  });
});

const WINDOW = { day: Math.floor(NOW / 86_400_000), from: NOW / HOUR - 12, to: NOW / HOUR, validators: {} };
const XY = { stationId: "X/own", key: "KXYZ" };
const at = (hour: number, minute: number) => Date.UTC(2026, 10, 20, hour, minute);

describe("fetchWindow", () => {
  test("an hour is what its routine report says; one without a report gives no row, and is never dry", async () => {
    stub.stations.set("KXYZ", [
      { at: at(3, 53), raw: "KXYZ 200353Z 00000KT 10SM CLR 05/04 A3000 RMK AO2 P0011 T00500040" },
      { at: at(4, 20), raw: "KXYZ 200420Z 00000KT 2SM RA 05/04 A3000 RMK AO2 P0003", temperatureC: 5 },
      { at: at(7, 53), raw: "KXYZ 200753Z 00000KT 10SM CLR 05/04 A3000 RMK AO2" },
      { at: at(8, 55), temperatureC: 6, rainMm: null },
    ]);
    const answer = await fetchWindow(client().polite, nwsObservations, XY, WINDOW);
    expect(answer.kind === "hours" && answer.rows.map((r) => [r[1]?.slice(11, 13), r[2], r[3]])).toEqual([
      ["04", "2.79", "5"],
      ["05", "0.76", "5"],
      ["08", "0", "5"],
      ["09", "", "6"],
    ]);
    expect(answer.kind === "hours" && answer.rows.every((r) => r[0] === "X/own")).toBe(true);
  });

  test("of two versions of a report the corrected one counts, in whatever order they come", async () => {
    const first = { at: at(3, 53), raw: "KXYZ 200353Z 00000KT 10SM CLR 05/04 A3000 RMK AO2 P0011" };
    const corrected = { at: at(3, 53), raw: "KXYZ 200353Z COR 00000KT 10SM CLR 05/04 A3000 RMK AO2 P0001" };
    for (const order of [
      [first, corrected],
      [corrected, first],
    ]) {
      stub.stations.set("KXYZ", order);
      const answer = await fetchWindow(client().polite, nwsObservations, XY, WINDOW);
      expect(answer.kind === "hours" && answer.rows.map((r) => r[2])).toEqual(["0.25"]);
    }
  });

  test("a station that the service does not know is absent, and an unchanged answer is not read again", async () => {
    const { polite } = client();
    expect(await fetchWindow(polite, nwsObservations, XY, WINDOW)).toEqual({ kind: "absent" });
    stub.stations.set("KXYZ", [{ at: at(3, 53), temperatureC: 5 }]);
    const first = await fetchWindow(polite, nwsObservations, XY, WINDOW);
    const validators = (first.kind === "hours" && first.validators) || {};
    expect(validators).toMatchObject({ etag: expect.any(String) });
    expect(await fetchWindow(polite, nwsObservations, XY, { ...WINDOW, validators })).toEqual({ kind: "unchanged" });
  });

  test("an answer at the service's limit is asked for again in halves", async () => {
    const all = Array.from({ length: 600 }, (_, i) => ({ at: at(0, 1) + i * 60_000, temperatureC: 5 }));
    stub.stations.set("KXYZ", all);
    const answer = await fetchWindow(client().polite, nwsObservations, XY, WINDOW);
    expect(answer.kind === "hours" && answer.rows.length).toBeGreaterThanOrEqual(10);
    expect(stub.asked.length).toBeGreaterThan(2);
    expect(answer).toMatchObject({ validators: null });
  });
});

describe("observationWindows", () => {
  test("goes on where it ended, looks again at days that may still change, and leaves settled ones alone", () => {
    let progress: FeedProgress = { askedThrough: null, days: new Map() };
    const first = observationWindows(progress, NOW, 7 * 24);
    expect(first.length).toBe(8);
    for (const w of first) progress = afterWindow(progress, w, { at: NOW, validators: {} });
    expect(observationWindows(progress, NOW, 7 * 24)).toEqual([]);
    const inAnHour = observationWindows(progress, NOW + HOUR, 7 * 24);
    expect(inAnHour.map((w) => w.to)).toEqual([NOW / HOUR + 1]);
    const later = observationWindows(progress, NOW + 7 * HOUR, 7 * 24).map((w) => w.day);
    const today = Math.floor(NOW / 86_400_000);
    expect(later).toEqual([today - 2, today - 1, today]);
  });
});
