import { askServer } from "./server-away.ts";

/** Read JSON. @throws as `askServer` */
export function getJson<T>(url: string, signal?: AbortSignal): Promise<T> {
  return askServer(url, signal ? { signal } : {});
}
