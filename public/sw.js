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

const ONE_VISIT = /^\/visits\/(?!today$)[^/]+$/;

// A streamed page has status 200 also when it goes on to say that the visit is not there.
async function isWhole(request, reply) {
  if (!reply.ok || !ONE_VISIT.test(new URL(request.url).pathname)) return reply.ok;
  return (await reply.clone().text()).includes('class="visit-work');
}

async function networkFirst(request) {
  const held = () => caches.match(request, { ignoreVary: true });
  try {
    const reply = await fetch(request);
    // The session has ended: who signs in again finds the page, and what is unsent waits in the page's own store.
    if (reply.type === "opaqueredirect") return reply;
    // A visit that left the queue, or a server in trouble, must not take away a page that holds unsent work.
    return (await isWhole(request, reply)) ? keep(request, reply) : ((await held()) ?? reply);
  } catch (error) {
    const page = await held();
    if (page) return page;
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
