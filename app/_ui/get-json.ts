import { GET_JSON } from "@/app/_words/ui.ts";
/** Read JSON. @throws Error with the server's own sentence where it gave one */
export async function getJson<T>(url: string, signal?: AbortSignal): Promise<T> {
  const reply = await fetch(url, signal ? { signal } : {});
  const said = (await reply.json().catch(() => null)) as { error?: { message?: string } } | null;
  if (!reply.ok) throw new Error(said?.error?.message ?? GET_JSON.theServerAnswered(reply.status));
  return said as T;
}
