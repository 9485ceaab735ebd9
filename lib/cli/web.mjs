// The web server process: Next behind a plain HTTP server that lets through only what request-gate.mjs does.
import { AsyncLocalStorage } from "node:async_hooks";
import { randomUUID } from "node:crypto";
import http from "node:http";
import next from "next";
import { Admission } from "./admission.mjs";
import { busyPage } from "./busy-page.mjs";
import { plainPath } from "./plain-path.mjs";
import { OWN_HEADERS, peerAddress, refusal } from "./request-gate.mjs";
import { startTracing } from "./tracing.mjs";
import { routeKind, webMeter } from "./web-meter.mjs";

const port = Number(process.env.PORT || 4710);
const dir = process.env.RAINTRIP_ROOT || process.cwd();
/** Requests that are here at once, also those that wait; more are told to come back. */
const MOST_IN_FLIGHT = Number(process.env.RAINTRIP_MOST_REQUESTS || 150);
/** Of what is read so many are answered at once, and none waits longer for its turn; what people send in waits for nobody. */
const admission = new Admission({
  atOnce: Number(process.env.RAINTRIP_REQUESTS_AT_ONCE || 8),
  longestWaitMs: 1000 * Number(process.env.RAINTRIP_LONGEST_WAIT_S || 4),
  mostHeldMs: 15_000,
});
const READS = new Set(["GET", "HEAD"]);
const endTracing = await startTracing("raintrip-web");
const app = next({ dev: process.env.RAINTRIP_DEV === "1", dir, hostname: "127.0.0.1", port, quiet: true });
await app.prepare();
const handle = app.getRequestHandler();
const listen = process.env.RAINTRIP_LISTEN || "127.0.0.1";
const publicHost = process.env.RAINTRIP_URL ? new URL(process.env.RAINTRIP_URL).host : null;
const trustProxy = process.env.RAINTRIP_TRUST_PROXY === "1";
const LOOPBACK_PEER = /^(127\.|::1$|::ffff:127\.)/;
const meter = webMeter();
globalThis.raintripLogContext ??= new AsyncLocalStorage();
// How a request gives its place to the next before it is answered (store/give-way.ts).
globalThis.raintripPlace ??= new AsyncLocalStorage();
const logsRequests = ["info", "debug", "trace"].includes(process.env.RAINTRIP_LOG ?? "");
// Counts that every page asks for are shared this long, ms (store/shared-read.ts).
globalThis.raintripShareMs = 1000;
let inFlight = 0;

function refuse(response, status, text, headers = {}) {
  response.writeHead(status, {
    "content-type": "text/plain; charset=utf-8",
    "x-content-type-options": "nosniff",
    "content-security-policy": "default-src 'none'; frame-ancestors 'none'",
    "cache-control": "no-store",
    ...headers,
  });
  response.end(text);
}

/** 503 with the time to come back; a page that a person opened comes back by itself. */
function refuseBusy(request, response, retryAfterS) {
  const headers = { "retry-after": String(retryAfterS) };
  const isPage = String(request.headers.accept ?? "").includes("text/html");
  if (isPage) refuse(response, 503, busyPage(retryAfterS), { ...headers, "content-type": "text/html; charset=utf-8" });
  else refuse(response, 503, "Raintrip is busy. Try again in a moment.\n", headers);
}

const server = http.createServer((request, response) => {
  const began = performance.now();
  const given = request.headers["x-request-id"];
  const id = typeof given === "string" && /^[\w-]{8,64}$/.test(given) ? given : randomUUID();
  const path = (request.url ?? "/").split("?", 1)[0];
  const kind = routeKind(path);
  request.headers["x-request-id"] = id;
  // Only this server says where a request comes from; what a client says of it is overwritten.
  for (const name of OWN_HEADERS) delete request.headers[name];
  const address = peerAddress(request, trustProxy);
  request.headers["x-raintrip-address"] = address;
  request.headers["x-raintrip-path"] = request.url ?? "/";
  request.headers["x-raintrip-peer"] = LOOPBACK_PEER.test(address) ? "loopback" : "remote";
  response.setHeader("x-request-id", id);
  response.once("close", () => {
    const seconds = (performance.now() - began) / 1000;
    meter.answered.observe({ kind, status: `${Math.floor(response.statusCode / 100)}xx` }, seconds);
    if (logsRequests) {
      const line = { level: "info", time: new Date().toISOString(), pid: process.pid, request_id: id, msg: "request" };
      const ms = Math.round(1000 * seconds);
      process.stderr.write(
        `${JSON.stringify({ ...line, method: request.method, path: plainPath(path), status: response.statusCode, ms })}\n`,
      );
    }
  });
  const why = refusal(request, publicHost);
  if (why) {
    refuse(response, 403, `${why}\n`);
    return;
  }
  const go = () => globalThis.raintripLogContext.run({ request_id: id }, () => handle(request, response));
  // Files of the build cost nothing, and whoever watches must be answered when it matters most.
  if (kind === "static" || kind === "watch") {
    go();
    return;
  }
  const turnAway = (reason, retryAfterS) => {
    meter.shed.inc({ reason });
    refuseBusy(request, response, retryAfterS);
  };
  let leave = () => {};
  // An open list waits for its next move with nothing in hand: that counts for nobody's place.
  if (kind === "wait") response.once("close", () => leave());
  else {
    if (inFlight >= MOST_IN_FLIGHT) {
      turnAway("full", admission.retryAfterS());
      return;
    }
    inFlight++;
    meter.inFlight.set(inFlight);
    response.once("close", () => {
      leave();
      inFlight--;
      meter.inFlight.set(inFlight);
    });
  }
  if (!READS.has(request.method ?? "GET")) {
    go();
    return;
  }
  leave = admission.enter({
    start: (waitedMs) => {
      meter.waited.observe(waitedMs / 1000);
      globalThis.raintripPlace.run(() => leave(), go);
    },
    refuse: (retryAfterS) => turnAway("wait", retryAfterS),
  });
});
// Uploads of gigabytes take longer than the default limits.
server.requestTimeout = 0;
server.on("error", (error) => {
  console.error(`Raintrip: port ${port} cannot be opened (${error.code}).`);
  process.exit(3);
});
server.listen(port, listen, () => process.send?.({ ready: true }));

function stop() {
  server.close(() => endTracing().then(() => process.exit(0)));
  server.closeIdleConnections();
  setTimeout(() => {
    server.closeAllConnections();
    process.exit(0);
  }, 3000).unref();
}
process.on("SIGTERM", stop);
process.on("SIGINT", stop);
process.on("disconnect", stop); // the supervisor was killed
