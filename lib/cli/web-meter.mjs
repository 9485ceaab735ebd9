// What the web server counts of its own answers. The registry lies on globalThis, because the server runs outside the
// bundle that serves /api/metrics.
import { constants, PerformanceObserver } from "node:perf_hooks";
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from "prom-client";

/** Kinds of addresses, few and without ids, so that the number of series stays small. */
export function routeKind(path) {
  if (path.startsWith("/_next/")) return "static";
  if (path.startsWith("/api/v1/")) return "api";
  if (/^\/api\/(health|metrics)(\/|$)/.test(path)) return "watch";
  // It is answered when something happens: how long that takes says nothing of the server.
  if (path === "/api/pages/sites/moves") return "wait";
  return path.startsWith("/api/") ? "page-data" : "page";
}

/**
 * What the process still holds after its memory was cleared up: unlike the heap in use it says whether something is kept. Each
 * value is the least of the last few, because work goes on between the end of the clearing and the look.
 */
function heapAfterCollection(register) {
  const gauge = new Gauge({
    name: "raintrip_heap_after_collection_bytes",
    help: "Heap in use after full garbage collections, the least of the last three",
    registers: [register],
  });
  const last = [];
  new PerformanceObserver((list) => {
    if (!list.getEntries().some(({ detail }) => detail?.kind === constants.NODE_PERFORMANCE_GC_MAJOR)) return;
    last.push(process.memoryUsage().heapUsed);
    if (last.length > 3) last.shift();
    gauge.set(Math.min(...last));
  }).observe({ entryTypes: ["gc"] });
}

export function webMeter() {
  const register = new Registry();
  globalThis.raintripMetrics = register;
  collectDefaultMetrics({ register, prefix: "raintrip_" });
  heapAfterCollection(register);
  const labelNames = ["kind", "status"];
  return {
    answered: new Histogram({
      name: "raintrip_http_answer_seconds",
      help: "Time to the end of an answer, by kind of address and class of status",
      labelNames,
      buckets: [0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5, 5, 10, 30, 60],
      registers: [register],
    }),
    inFlight: new Gauge({ name: "raintrip_http_in_flight", help: "Requests being answered", registers: [register] }),
    waited: new Histogram({
      name: "raintrip_http_wait_seconds",
      help: "Time that an answered request waited for its turn",
      buckets: [0.01, 0.05, 0.1, 0.25, 0.5, 1, 2, 3, 4, 5],
      registers: [register],
    }),
    shed: new Counter({
      name: "raintrip_http_shed_total",
      help: "Requests turned away with 503: full, too many were here; wait, their turn would have come too late",
      labelNames: ["reason"],
      registers: [register],
    }),
  };
}
