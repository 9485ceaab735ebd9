/** Traces to the collector that OTEL_EXPORTER_OTLP_ENDPOINT names, if any. @returns hands over what is left */
export function startTracing(service: string): Promise<() => Promise<void>>;
