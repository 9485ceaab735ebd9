import "server-only";
import { log } from "../store/log.ts";

/** Put an error that nobody foresaw into the log, with the id of the request that met it. */
export function reportError(error: unknown): void {
  log.error({ err: error }, "request failed");
}
