// The web server process: Next behind a plain HTTP server that answers only to loopback names. Until sign-in
// exists, the Host check keeps a page of another site from reaching this server through the browser.
import http from "node:http";
import next from "next";

const port = Number(process.env.PORT || 4710);
const dir = process.env.RAINTRIP_ROOT || process.cwd();
const app = next({ dev: process.env.RAINTRIP_DEV === "1", dir, hostname: "127.0.0.1", port, quiet: true });
await app.prepare();
const handle = app.getRequestHandler();
const LOOPBACK = /^(localhost|127\.0\.0\.1|\[::1\])(:\d+)?$/i;

const server = http.createServer((request, response) => {
  const origin = request.headers.origin;
  const foreignOrigin = origin && origin !== "null" && !LOOPBACK.test(new URL(origin).host);
  if (!LOOPBACK.test(request.headers.host ?? "") || foreignOrigin || origin === "null") {
    response.writeHead(403, { "content-type": "text/plain; charset=utf-8" });
    response.end("Raintrip answers only on this machine until sign-in is set up.\n");
    return;
  }
  handle(request, response);
});
// Uploads of gigabytes take longer than the default limits.
server.requestTimeout = 0;
server.on("error", (error) => {
  console.error(`Raintrip: port ${port} cannot be opened (${error.code}).`);
  process.exit(3);
});
server.listen(port, "127.0.0.1", () => process.send?.({ ready: true }));

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
