// Keeps the visit pages and what they are built from, so that they open without signal. Edits are not its business:
// the page keeps them and sends them itself.
const SHELL = "raintrip-visits";

self.addEventListener("install", () => self.skipWaiting());
self.addEventListener("activate", (event) => event.waitUntil(self.clients.claim()));

async function keep(request, reply) {
  if (reply.ok && !reply.redirected) await (await caches.open(SHELL)).put(request, reply.clone());
  return reply;
}

async function cacheFirst(request) {
  return (await caches.match(request)) ?? keep(request, await fetch(request));
}

async function networkFirst(request) {
  try {
    return await keep(request, await fetch(request));
  } catch (error) {
    const held = await caches.match(request, { ignoreVary: true });
    if (held) return held;
    throw error;
  }
}

self.addEventListener("fetch", (event) => {
  const { request } = event;
  const url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== self.location.origin) return;
  if (url.pathname.startsWith("/_next/static/")) event.respondWith(cacheFirst(request));
  else if (request.mode === "navigate" && url.pathname.startsWith("/visits")) event.respondWith(networkFirst(request));
});
