"use client";

import { TROUBLE } from "@/app/_words/shared.ts";
/**
 * Send JSON and read the JSON answer.
 * @throws Error with the server's own sentence where it gave one
 */
export async function postJson<T>(url: string, body: unknown, signal?: AbortSignal): Promise<T> {
  const reply = await fetch(url, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
    ...(signal ? { signal } : {}),
  });
  const said = (await reply.json().catch(() => null)) as { error?: { message?: string } } | null;
  if (!reply.ok) throw new Error(said?.error?.message ?? TROUBLE.answered(reply.status));
  return said as T;
}
