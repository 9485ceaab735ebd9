// What the web server counts of its own answers. The registry lies on globalThis, because the server runs outside the
// bundle that serves /api/metrics.
import { Counter, collectDefaultMetrics, Gauge, Histogram, Registry } from "prom-client";

/** Kinds of addresses, few and without ids, so that the number of series stays small. */
export function routeKind(path) {
  if (path.startsWith("/_next/")) return "static";
  if (path.startsWith("/api/v1/")) return "api";
  if (/^\/api\/(health|metrics)(\/|$)/.test(path)) return "watch";
  return path.startsWith("/api/") ? "page-data" : "page";
}

export function webMeter() {
  const register = new Registry();
  globalThis.raintripMetrics = register;
  collectDefaultMetrics({ register, prefix: "raintrip_" });
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
    shed: new Counter({
      name: "raintrip_http_shed_total",
      help: "Requests turned away with 503 because too many were being answered",
      registers: [register],
    }),
  };
}
