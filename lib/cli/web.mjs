// The web server process: Next behind a plain HTTP server that lets through only what request-gate.mjs does.
import { AsyncLocalStorage } from "node:async_hooks";
import { randomUUID } from "node:crypto";
import http from "node:http";
import next from "next";
import { plainPath } from "./plain-path.mjs";
import { OWN_HEADERS, peerAddress, refusal } from "./request-gate.mjs";
import { startTracing } from "./tracing.mjs";
import { routeKind, webMeter } from "./web-meter.mjs";

const port = Number(process.env.PORT || 4710);
const dir = process.env.RAINTRIP_ROOT || process.cwd();
/** Requests answered at once; more are told to come back, so that those inside are still answered in good time. */
const MOST_IN_FLIGHT = Number(process.env.RAINTRIP_MOST_REQUESTS || 150);
const RETRY_AFTER_S = 2;
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
const logsRequests = ["info", "debug", "trace"].includes(process.env.RAINTRIP_LOG ?? "");
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
  // Files of the build cost nothing, and whoever watches must be answered when it matters most.
  if (inFlight >= MOST_IN_FLIGHT && kind !== "static" && kind !== "watch") {
    meter.shed.inc();
    refuse(response, 503, "Raintrip is busy. Try again in a moment.\n", { "retry-after": String(RETRY_AFTER_S) });
    return;
  }
  inFlight++;
  meter.inFlight.set(inFlight);
  response.once("close", () => {
    inFlight--;
    meter.inFlight.set(inFlight);
  });
  globalThis.raintripLogContext.run({ request_id: id }, () => handle(request, response));
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
