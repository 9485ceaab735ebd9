// OpenTelemetry traces, only where OTEL_EXPORTER_OTLP_ENDPOINT names a collector. Next writes spans of its own through the
// same interface; jobs get theirs in the worker.

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
    spanProcessors: [new BatchSpanProcessor(new OTLPTraceExporter())],
  });
  provider.register();
  return () => provider.shutdown().catch((error) => console.error(`raintrip traces: ${error.message}`));
}
