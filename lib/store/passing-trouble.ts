import { AppError } from "../core/app-error.ts";

/** What the driver calls the end of a connection, the network's own words, and PostgreSQL's for going away or coming up. */
const AWAY = new Set([
  ...["CONNECTION_CLOSED", "CONNECTION_ENDED", "CONNECTION_DESTROYED", "CONNECT_TIMEOUT"],
  ...["ECONNREFUSED", "ECONNRESET", "EPIPE", "ETIMEDOUT", "ENOTFOUND", "EAI_AGAIN"],
  ...["57P01", "57P02", "57P03", "57P05"],
]);

/**
 * Whether an error came from outside and may be over the next time: the database away, no room left, two transactions in
 * each other's way. Work that met it is to be tried again, not given up.
 * @returns a sentence for people; null: trying again would fail again
 */
export function passingTrouble(error: unknown): string | null {
  const code = codeOf(error);
  if (code === null) return null;
  if (isDiskFull(code))
    return "The disk is full. Free some space: the work goes on by itself, and nothing that was stored is lost.";
  if (AWAY.has(code) || code.startsWith("08"))
    return "The connection to the database was lost. The work goes on by itself when it is back.";
  if (code.startsWith("53"))
    return "The database server is short of memory or connections. The work goes on by itself when there are some.";
  if (code === "40001" || code === "40P01") return "The database asked to try again; the work goes on by itself.";
  return null;
}

/** The same of a request, which nobody takes up again by itself; null: nobody foresaw it. */
export function requestTrouble(error: unknown): AppError | null {
  const code = codeOf(error);
  if (code === null) return null;
  if (isDiskFull(code))
    return new AppError("disk_full", {
      message:
        "The server's disk is full, so this was not stored. Nothing stored before is lost. Free some space, then send it again.",
      cause: error,
    });
  if (passingTrouble(error) === null) return null;
  return new AppError("database_unreachable", {
    message:
      "The database cannot be reached at the moment; it may be restarting. Nothing stored before is lost. Try again in a moment, and look first whether what you sent has arrived.",
    cause: error,
  });
}

function codeOf(error: unknown): string | null {
  const code = (error as { code?: unknown } | null)?.code;
  return typeof code === "string" ? code : null;
}

const isDiskFull = (code: string) => code === "ENOSPC" || code === "EDQUOT" || code === "53100";
