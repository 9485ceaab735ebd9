import { AppError, HTTP_STATUS } from "@/lib/core/app-error.ts";
import { reportError } from "@/lib/reads/report-error.ts";

/** Run a handler and turn what it returns or throws into JSON: one error shape and one status table for all routes. */
export async function answer(handler: () => Promise<unknown>, status = 200): Promise<Response> {
  try {
    const body = await handler();
    return body instanceof Response ? body : Response.json(body, { status, headers: { "cache-control": "no-store" } });
  } catch (error) {
    const known = error instanceof AppError ? error : null;
    if (!known) reportError(error);
    const code = known?.code ?? "internal";
    const message = known?.message ?? "Something went wrong inside Raintrip; the server's log has the details.";
    const headers: Record<string, string> = { "cache-control": "no-store" };
    if (code === "busy") headers["retry-after"] = "10";
    return Response.json({ error: { code, message } }, { status: HTTP_STATUS[code], headers });
  }
}
