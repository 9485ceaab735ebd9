import { AppError, HTTP_STATUS } from "@/lib/core/app-error.ts";
import { knownError } from "@/lib/reads/known-error.ts";
import { reportError } from "@/lib/reads/report-error.ts";

/** `currentActor` sends a page to the sign-in page; a route says 401 instead. */
const isRedirect = (error: unknown) =>
  String((error as { digest?: unknown })?.digest ?? "").startsWith("NEXT_REDIRECT");
const notSignedIn = () =>
  new AppError("unauthorized", { message: "Your session has ended. Sign in again; what you entered is still here." });

/** Run a handler and turn what it returns or throws into JSON: one error shape and one status table for all routes. */
export async function answer(handler: () => Promise<unknown>, good = 200): Promise<Response> {
  try {
    const body = await handler();
    return body instanceof Response
      ? body
      : Response.json(body, { status: good, headers: { "cache-control": "no-store" } });
  } catch (error) {
    const known = isRedirect(error) ? notSignedIn() : knownError(error);
    if (!known) reportError(error);
    const code = known?.code ?? "internal";
    const message = known?.message ?? "Something went wrong inside Raintrip; the server's log has the details.";
    const headers: Record<string, string> = { "cache-control": "no-store" };
    const status = HTTP_STATUS[code];
    if (status === 503) headers["retry-after"] = "10";
    return Response.json({ error: { code, message } }, { status, headers });
  }
}
