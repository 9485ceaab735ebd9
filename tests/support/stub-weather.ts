import { createServer, type IncomingMessage, type ServerResponse } from "node:http";
import type { AddressInfo } from "node:net";
import type { FeedSettings } from "../../lib/live/feed-settings.ts";
import type { Outside } from "../../lib/live/polite-client.ts";

/** How the stub answers a request in place of its usual answer. */
export type Misbehaviour = (request: IncomingMessage, response: ServerResponse) => void;

export interface StubObservation {
  at: number;
  raw?: string;
  temperatureC?: number | null;
  rainMm?: number | null;
}

/** A weather service on loopback, in the shape of the public US one, that misbehaves when told to. */
export class StubWeather {
  /** Observations by station key. */
  readonly stations = new Map<string, StubObservation[]>();
  readonly asked: { path: string; agent: string; etag: string | undefined }[] = [];
  /** Used up one request at a time. */
  readonly next: Misbehaviour[] = [];
  #server = createServer((request, response) => this.#answer(request, response));

  async start(): Promise<FeedSettings> {
    await new Promise<void>((resolve) => this.#server.listen(0, "127.0.0.1", resolve));
    const { port } = this.#server.address() as AddressInfo;
    return { baseUrl: new URL(`http://127.0.0.1:${port}`), contact: "ops@example.invalid", runCap: 300 };
  }

  async stop(): Promise<void> {
    this.#server.closeAllConnections();
    await new Promise((resolve) => this.#server.close(resolve));
  }

  #answer(request: IncomingMessage, response: ServerResponse): void {
    const url = new URL(request.url ?? "/", "http://stub");
    this.asked.push({
      path: url.pathname,
      agent: request.headers["user-agent"] ?? "",
      etag: request.headers["if-none-match"],
    });
    const odd = this.next.shift();
    if (odd) {
      odd(request, response);
      return;
    }
    const key = /^\/stations\/([^/]+)\/observations$/.exec(url.pathname)?.[1];
    if (key) this.#observations(key, url, request, response);
    else if (url.pathname.startsWith("/points/"))
      json(response, { properties: { gridId: "TOP", gridX: 31, gridY: 80 } });
    else if (url.pathname === "/gridpoints/TOP/31,80") json(response, FORECAST);
    else fail(404)(request, response);
  }

  #observations(key: string, url: URL, request: IncomingMessage, response: ServerResponse): void {
    const all = this.stations.get(key);
    if (!all) {
      fail(404)(request, response);
      return;
    }
    const from = Date.parse(url.searchParams.get("start") ?? "");
    const to = Date.parse(url.searchParams.get("end") ?? "");
    const found = all.filter((o) => o.at >= from && o.at <= to);
    const etag = `"${JSON.stringify(found).length}-${found.length}-${found.reduce((a, o) => a + (o.raw?.length ?? 0), 0)}"`;
    if (request.headers["if-none-match"] === etag) {
      response.writeHead(304).end();
      return;
    }
    response.setHeader("etag", etag);
    json(response, { type: "FeatureCollection", features: found.map((o) => feature(key, o)) });
  }
}

function feature(key: string, o: StubObservation) {
  const quantity = (value: number | null | undefined, unitCode: string) => ({
    value: value ?? null,
    unitCode,
    qualityControl: "V",
  });
  return {
    properties: {
      station: `http://stub/stations/${key}`,
      timestamp: new Date(o.at).toISOString().replace(".000Z", "+00:00"),
      rawMessage: o.raw ?? "",
      presentWeather: [],
      temperature: quantity(o.temperatureC, "wmoUnit:degC"),
      dewpoint: quantity(null, "wmoUnit:degC"),
      windSpeed: quantity(null, "wmoUnit:km_h-1"),
      relativeHumidity: quantity(null, "wmoUnit:percent"),
      precipitationLastHour: quantity(o.rainMm, "wmoUnit:mm"),
    },
  };
}

const FORECAST = {
  properties: {
    updateTime: "2026-11-20T11:00:00+00:00",
    temperature: { uom: "wmoUnit:degC", values: [{ validTime: "2026-11-20T12:00:00+00:00/PT2H", value: 4 }] },
    windSpeed: { uom: "wmoUnit:km_h-1", values: [{ validTime: "2026-11-20T12:00:00+00:00/PT3H", value: 36 }] },
    probabilityOfPrecipitation: {
      uom: "wmoUnit:percent",
      values: [{ validTime: "2026-11-20T13:00:00+00:00/PT2H", value: 80 }],
    },
    quantitativePrecipitation: {
      uom: "wmoUnit:mm",
      values: [{ validTime: "2026-11-20T12:00:00+00:00/PT3H", value: 6 }],
    },
    probabilityOfThunder: { values: [] },
  },
};

export function json(response: ServerResponse, body: unknown): void {
  response.writeHead(200, { "content-type": "application/geo+json" }).end(JSON.stringify(body));
}

export const fail =
  (status: number, headers: Record<string, string> = {}): Misbehaviour =>
  (_request, response) => {
    response.writeHead(status, { "content-type": "application/json", ...headers }).end("{}");
  };

/** Real sockets; a clock that moves only when slept on, so that no test waits. */
export function stubOutside(now: number): Outside & { slept: number[]; at: number } {
  const outside = {
    at: now,
    slept: [] as number[],
    fetch: (url: string, init: RequestInit) => fetch(url, init),
    now: () => outside.at,
    sleep: async (ms: number, signal: AbortSignal) => {
      signal.throwIfAborted();
      outside.slept.push(ms);
      outside.at += ms;
    },
    random: () => 0.5,
    timeout: () => AbortSignal.timeout(10_000),
  };
  return outside;
}
