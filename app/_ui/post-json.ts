import { askServer } from "./server-away.ts";

/** Send JSON and read the JSON answer. @throws as `askServer` */
export function postJson<T>(url: string, body: unknown, signal?: AbortSignal): Promise<T> {
  return askServer(url, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
    ...(signal ? { signal } : {}),
  });
}
