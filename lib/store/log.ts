import { AsyncLocalStorage } from "node:async_hooks";
import pino from "pino";

/** What ties lines together: the request or the job that they were written for. */
export interface LogContext {
  request_id?: string;
  job_id?: string;
  queue?: string;
}

// The web server is loaded outside the bundle and its handlers inside: the context must be one for both.
const holder = globalThis as { raintripLogContext?: AsyncLocalStorage<LogContext> };
holder.raintripLogContext ??= new AsyncLocalStorage<LogContext>();
const context = holder.raintripLogContext;

/** What is worth keeping of an error: drivers hang whole connections on theirs, with what they were opened with. */
function shortError(error: unknown): Record<string, unknown> {
  if (!(error instanceof Error)) return { message: String(error) };
  const { name, message, stack } = error;
  const code = (error as { code?: unknown }).code;
  return { name, message, ...(typeof code === "string" ? { code } : {}), stack };
}

/**
 * Structured log of this process: one JSON object a line on standard error, with the id of the request or job at hand.
 * RAINTRIP_LOG sets the least level (`info` also logs each request and job); what could be a secret is cut out.
 */
export const log = pino(
  {
    level: process.env.RAINTRIP_LOG || "warn",
    base: { pid: process.pid },
    timestamp: pino.stdTimeFunctions.isoTime,
    formatters: { level: (label) => ({ level: label }) },
    mixin: () => ({ ...context.getStore() }),
    serializers: { err: shortError },
    redact: {
      paths: ["authorization", "cookie", "password", "token", "*.authorization", "*.cookie", "*.password", "*.token"],
    },
  },
  pino.destination({ fd: 2, sync: true }),
);

/** Run work whose log lines carry these ids. */
export function withLogContext<T>(ids: LogContext, work: () => T): T {
  return context.run({ ...context.getStore(), ...ids }, work);
}
