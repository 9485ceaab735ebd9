// OpenTelemetry traces, only where OTEL_EXPORTER_OTLP_ENDPOINT names a collector. Next writes spans of its own through the
// same interface; jobs get theirs in the worker.
import { plainPath } from "./plain-path.mjs";

/** Spans of Next hold the address as it was asked for, secrets of links and of sign-ins with it. */
const withPlainPaths = {
  onStart() {},
  onEnd(span) {
    for (const [name, value] of Object.entries(span.attributes))
      if (typeof value === "string" && /^(\/|https?:)|\/(calendar|shared)\//.test(value))
        span.attributes[name] = plainPath(value);
    if (/\/(calendar|shared)\/|\?/.test(span.name)) span.name = plainPath(span.name);
  },
  forceFlush: async () => {},
  shutdown: async () => {},
};

/** @returns {Promise<() => Promise<void>>} hands over what is left */
export async function startTracing(service) {
  if (!process.env.OTEL_EXPORTER_OTLP_ENDPOINT && !process.env.OTEL_EXPORTER_OTLP_TRACES_ENDPOINT)
    return async () => {};
  const [{ NodeTracerProvider, BatchSpanProcessor }, { OTLPTraceExporter }, { resourceFromAttributes }] =
    await Promise.all([
      import("@opentelemetry/sdk-trace-node"),
      import("@opentelemetry/exporter-trace-otlp-http"),
      import("@opentelemetry/resources"),
    ]);
  const provider = new NodeTracerProvider({
    resource: resourceFromAttributes({ "service.name": process.env.OTEL_SERVICE_NAME || service }),
    spanProcessors: [withPlainPaths, new BatchSpanProcessor(new OTLPTraceExporter())],
  });
  provider.register();
  return () => provider.shutdown().catch((error) => console.error(`raintrip traces: ${error.message}`));
}
