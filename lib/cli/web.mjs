// The web server process: Next behind a plain HTTP server that lets through only what request-gate.mjs does.
import http from "node:http";
import next from "next";
import { OWN_HEADERS, peerAddress, refusal } from "./request-gate.mjs";

const port = Number(process.env.PORT || 4710);
const dir = process.env.RAINTRIP_ROOT || process.cwd();
const app = next({ dev: process.env.RAINTRIP_DEV === "1", dir, hostname: "127.0.0.1", port, quiet: true });
await app.prepare();
const handle = app.getRequestHandler();
const listen = process.env.RAINTRIP_LISTEN || "127.0.0.1";
const publicHost = process.env.RAINTRIP_URL ? new URL(process.env.RAINTRIP_URL).host : null;
const trustProxy = process.env.RAINTRIP_TRUST_PROXY === "1";

const server = http.createServer((request, response) => {
  const why = refusal(request, publicHost);
  if (why) {
    response.writeHead(403, { "content-type": "text/plain; charset=utf-8" });
    response.end(`${why}\n`);
    return;
  }
  for (const name of OWN_HEADERS) delete request.headers[name];
  request.headers["x-raintrip-peer"] = peerAddress(request, trustProxy);
  request.headers["x-raintrip-path"] = request.url ?? "/";
  handle(request, response);
});
// Uploads of gigabytes take longer than the default limits.
server.requestTimeout = 0;
server.on("error", (error) => {
  console.error(`Raintrip: port ${port} cannot be opened (${error.code}).`);
  process.exit(3);
});
server.listen(port, listen, () => process.send?.({ ready: true }));

function stop() {
  server.close(() => process.exit(0));
  server.closeIdleConnections();
  setTimeout(() => {
    server.closeAllConnections();
    process.exit(0);
  }, 3000).unref();
}
process.on("SIGTERM", stop);
process.on("SIGINT", stop);
process.on("disconnect", stop); // the supervisor was killed
