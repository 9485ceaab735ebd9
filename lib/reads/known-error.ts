import "server-only";
import { AppError } from "../core/app-error.ts";
import { log } from "../store/log.ts";
import { requestTrouble } from "../store/passing-trouble.ts";

/**
 * An error as whoever asked gets to see it: what was meant for people as it is, what may be over the next time in words, with
 * the cause in the log; null: nobody foresaw it.
 */
export function knownError(error: unknown): AppError | null {
  if (error instanceof AppError) return error;
  const trouble = requestTrouble(error);
  if (trouble) log.warn({ err: error }, "request could not be answered");
  return trouble;
}
