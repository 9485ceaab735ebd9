"use client";
import { CLIENT } from "@/app/_words/sign-in.ts";

/**
 * Ask the sign-in part of the server.
 * @throws Error with the server's own sentence
 */
export async function post<T>(path: string, body: unknown): Promise<T> {
  const reply = await fetch(`/api/auth${path}`, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(body),
  });
  const said = (await reply.json().catch(() => null)) as { message?: string } | null;
  if (!reply.ok) throw new Error(sentence(reply.status, said?.message));
  return said as T;
}

function sentence(status: number, message: string | undefined): string {
  if (status === 401) return CLIENT.thisAddressAndPassword;
  if (status === 429 && !message?.includes("wrong passwords")) return CLIENT.tooManyTriesFrom;
  return message ?? CLIENT.theServerAnswered(status);
}

/** Where to go after signing in: a page of this installation, never another site. */
export function safeTarget(to: string | null, origin = window.location.origin): string {
  if (!to || !URL.canParse(to, origin)) return "/";
  const url = new URL(to, origin);
  const isOwn = url.origin === origin && !/^\/(sign-in|join|api)(\/|$)/.test(url.pathname);
  return isOwn ? `${url.pathname}${url.search}` : "/";
}
