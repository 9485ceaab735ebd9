import { SERVER_AWAY } from "@/app/_words/ui.ts";

/** The server, or the database behind it, does not answer at the moment: the same may be asked again. */
export class ServerAway extends Error {}

/** Of a proxy before the server, and of the server while its database is away or it has too much to do. */
const AWAY = [502, 503, 504];

/**
 * As `fetch`, but read: the JSON of the answer.
 * @throws ServerAway when nobody answers, or the answer is to come back; Error otherwise; both with the server's own sentence
 */
export async function askServer<T>(url: string, init: RequestInit): Promise<T> {
  const reply = await fetch(url, init).catch((error: unknown) => {
    if (error instanceof TypeError) throw new ServerAway(SERVER_AWAY.noAnswer);
    throw error;
  });
  const said = (await reply.json().catch(() => null)) as { error?: { message?: string } } | null;
  if (reply.ok) return said as T;
  const message = said?.error?.message ?? SERVER_AWAY.answered(reply.status);
  throw AWAY.includes(reply.status) ? new ServerAway(message) : new Error(message);
}
